CREATE TABLE "draw" (
	"club_id" text NOT NULL,
	"meeting_id" text NOT NULL,
	"race_id" text NOT NULL,
	"n" integer NOT NULL,
	"engine" text NOT NULL,
	"seed" bigint NOT NULL,
	"request" text NOT NULL,
	"certificate" jsonb NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "draw_club_id_meeting_id_race_id_n_pk" PRIMARY KEY("club_id","meeting_id","race_id","n")
);
--> statement-breakpoint
ALTER TABLE "club" ADD COLUMN "draw_preset" text DEFAULT 'opponents' NOT NULL;--> statement-breakpoint
ALTER TABLE "driver" ADD COLUMN "marshals" boolean DEFAULT true NOT NULL;--> statement-breakpoint
ALTER TABLE "entry" ADD COLUMN "group_no" integer;--> statement-breakpoint
ALTER TABLE "draw" ADD CONSTRAINT "draw_club_id_meeting_id_race_id_race_club_id_meeting_id_id_fk" FOREIGN KEY ("club_id","meeting_id","race_id") REFERENCES "public"."race"("club_id","meeting_id","id") ON DELETE cascade ON UPDATE no action;