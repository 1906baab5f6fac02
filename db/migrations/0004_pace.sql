CREATE TABLE "heat_handicap" (
	"club_id" text NOT NULL,
	"meeting_id" text NOT NULL,
	"heat_id" text NOT NULL,
	"seed" bigint NOT NULL,
	"fit_n" integer,
	"plan" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "heat_handicap_club_id_meeting_id_heat_id_pk" PRIMARY KEY("club_id","meeting_id","heat_id")
);
--> statement-breakpoint
CREATE TABLE "lap_import" (
	"club_id" text NOT NULL,
	"id" text NOT NULL,
	"name" text NOT NULL,
	"rows" integer NOT NULL,
	"nights" integer NOT NULL,
	"made" jsonb NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "lap_import_club_id_id_pk" PRIMARY KEY("club_id","id")
);
--> statement-breakpoint
CREATE TABLE "pace_fit" (
	"club_id" text NOT NULL,
	"n" integer NOT NULL,
	"engine" text NOT NULL,
	"seed" bigint NOT NULL,
	"inputs_hash" text NOT NULL,
	"inputs_stamp" text NOT NULL,
	"laps" integer NOT NULL,
	"nights" integer NOT NULL,
	"fit" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "pace_fit_club_id_n_pk" PRIMARY KEY("club_id","n")
);
--> statement-breakpoint
CREATE TABLE "past_lap" (
	"club_id" text NOT NULL,
	"import_id" text NOT NULL,
	"row" integer NOT NULL,
	"night" bigint NOT NULL,
	"heat" text NOT NULL,
	"start_s" double precision NOT NULL,
	"track" text NOT NULL,
	"lane" integer NOT NULL,
	"driver_id" text NOT NULL,
	"class_id" text NOT NULL,
	"lap" integer NOT NULL,
	"time_us" bigint NOT NULL,
	"flag" text NOT NULL,
	CONSTRAINT "past_lap_club_id_import_id_row_pk" PRIMARY KEY("club_id","import_id","row")
);
--> statement-breakpoint
ALTER TABLE "driver" ADD COLUMN "pace_group" text;--> statement-breakpoint
ALTER TABLE "driver" ADD COLUMN "nights_before" integer DEFAULT 0 NOT NULL;--> statement-breakpoint
ALTER TABLE "driver" ADD COLUMN "pace_reset_at" timestamp with time zone;--> statement-breakpoint
ALTER TABLE "entry" ADD COLUMN "credit" integer DEFAULT 0 NOT NULL;--> statement-breakpoint
ALTER TABLE "entry" ADD COLUMN "handicap_by_hand" boolean DEFAULT false NOT NULL;--> statement-breakpoint
ALTER TABLE "race" ADD COLUMN "handicap" jsonb;--> statement-breakpoint
ALTER TABLE "heat_handicap" ADD CONSTRAINT "heat_handicap_club_id_meeting_id_heat_id_heat_club_id_meeting_id_id_fk" FOREIGN KEY ("club_id","meeting_id","heat_id") REFERENCES "public"."heat"("club_id","meeting_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "lap_import" ADD CONSTRAINT "lap_import_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "pace_fit" ADD CONSTRAINT "pace_fit_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "past_lap" ADD CONSTRAINT "past_lap_club_id_import_id_lap_import_club_id_id_fk" FOREIGN KEY ("club_id","import_id") REFERENCES "public"."lap_import"("club_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "past_lap" ADD CONSTRAINT "past_lap_club_id_driver_id_driver_club_id_id_fk" FOREIGN KEY ("club_id","driver_id") REFERENCES "public"."driver"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "past_lap" ADD CONSTRAINT "past_lap_club_id_class_id_car_class_club_id_id_fk" FOREIGN KEY ("club_id","class_id") REFERENCES "public"."car_class"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "past_lap_driver" ON "past_lap" USING btree ("club_id","driver_id");