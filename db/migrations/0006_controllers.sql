CREATE TABLE "car_motor" (
	"club_id" text NOT NULL,
	"car_id" text NOT NULL,
	"motor" jsonb NOT NULL,
	"updated_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "car_motor_club_id_car_id_pk" PRIMARY KEY("club_id","car_id")
);
--> statement-breakpoint
CREATE TABLE "profile" (
	"club_id" text NOT NULL,
	"id" text NOT NULL,
	"driver_id" text NOT NULL,
	"car_id" text,
	"track_id" text,
	"latest" integer DEFAULT 1 NOT NULL,
	"archived_at" timestamp with time zone,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "profile_club_id_id_pk" PRIMARY KEY("club_id","id")
);
--> statement-breakpoint
CREATE TABLE "profile_choice" (
	"club_id" text NOT NULL,
	"id" text NOT NULL,
	"driver_id" text NOT NULL,
	"profile_id" text NOT NULL,
	"version" integer NOT NULL,
	"lane" integer,
	"chosen_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "profile_choice_club_id_id_pk" PRIMARY KEY("club_id","id")
);
--> statement-breakpoint
CREATE TABLE "profile_version" (
	"club_id" text NOT NULL,
	"profile_id" text NOT NULL,
	"version" integer NOT NULL,
	"setup" jsonb NOT NULL,
	"hash" text NOT NULL,
	"note" text NOT NULL,
	"author" text NOT NULL,
	"origin" jsonb,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "profile_version_club_id_profile_id_version_pk" PRIMARY KEY("club_id","profile_id","version")
);
--> statement-breakpoint
CREATE TABLE "share" (
	"club_id" text NOT NULL,
	"id" text NOT NULL,
	"code" text,
	"profile_id" text NOT NULL,
	"version" integer NOT NULL,
	"setup" jsonb NOT NULL,
	"hash" text NOT NULL,
	"author" text,
	"car_name" text,
	"class_name" text,
	"open" boolean DEFAULT true NOT NULL,
	"ends_on" date,
	"shared_on" date NOT NULL,
	CONSTRAINT "share_club_id_id_pk" PRIMARY KEY("club_id","id"),
	CONSTRAINT "share_code_unique" UNIQUE("code")
);
--> statement-breakpoint
CREATE TABLE "calibration" (
	"club_id" text NOT NULL,
	"unit_id" text NOT NULL,
	"n" integer NOT NULL,
	"mechanical_setting" integer NOT NULL,
	"bits" integer NOT NULL,
	"released" integer NOT NULL,
	"pressed" integer NOT NULL,
	"direction" integer NOT NULL,
	"travel" double precision NOT NULL,
	"noise" double precision NOT NULL,
	"dead_band" integer NOT NULL,
	"warnings" text[] NOT NULL,
	"author" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "calibration_club_id_unit_id_n_pk" PRIMARY KEY("club_id","unit_id","n")
);
--> statement-breakpoint
CREATE TABLE "controller_unit" (
	"club_id" text NOT NULL,
	"id" text NOT NULL,
	"name" text NOT NULL,
	"driver_id" text,
	"track_id" text,
	"lane" integer,
	"sheet" jsonb,
	"mechanical_setting" integer DEFAULT 1 NOT NULL,
	"token_hash" text,
	"seen_at" timestamp with time zone,
	"archived_at" timestamp with time zone,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "controller_unit_club_id_id_pk" PRIMARY KEY("club_id","id"),
	CONSTRAINT "controller_unit_token" UNIQUE("club_id","token_hash")
);
--> statement-breakpoint
CREATE TABLE "trigger_trace" (
	"club_id" text NOT NULL,
	"unit_id" text NOT NULL,
	"n" integer NOT NULL,
	"mechanical_setting" integer NOT NULL,
	"bits" integer NOT NULL,
	"rest_samples" integer NOT NULL,
	"counts" integer[] NOT NULL,
	"source" text NOT NULL,
	"complete" boolean NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "trigger_trace_club_id_unit_id_n_pk" PRIMARY KEY("club_id","unit_id","n")
);
--> statement-breakpoint
ALTER TABLE "invite" ADD COLUMN "driver_id" text;--> statement-breakpoint
ALTER TABLE "heat_lane" ADD COLUMN "profile_id" text;--> statement-breakpoint
ALTER TABLE "heat_lane" ADD COLUMN "profile_version" integer;--> statement-breakpoint
ALTER TABLE "race" ADD COLUMN "drive_limit" integer;--> statement-breakpoint
ALTER TABLE "car_motor" ADD CONSTRAINT "car_motor_club_id_car_id_car_club_id_id_fk" FOREIGN KEY ("club_id","car_id") REFERENCES "public"."car"("club_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "profile" ADD CONSTRAINT "profile_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "profile" ADD CONSTRAINT "profile_club_id_driver_id_driver_club_id_id_fk" FOREIGN KEY ("club_id","driver_id") REFERENCES "public"."driver"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "profile" ADD CONSTRAINT "profile_club_id_car_id_car_club_id_id_fk" FOREIGN KEY ("club_id","car_id") REFERENCES "public"."car"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "profile" ADD CONSTRAINT "profile_club_id_track_id_track_club_id_id_fk" FOREIGN KEY ("club_id","track_id") REFERENCES "public"."track"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "profile_choice" ADD CONSTRAINT "profile_choice_club_id_profile_id_version_profile_version_club_id_profile_id_version_fk" FOREIGN KEY ("club_id","profile_id","version") REFERENCES "public"."profile_version"("club_id","profile_id","version") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "profile_version" ADD CONSTRAINT "profile_version_club_id_profile_id_profile_club_id_id_fk" FOREIGN KEY ("club_id","profile_id") REFERENCES "public"."profile"("club_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "share" ADD CONSTRAINT "share_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "share" ADD CONSTRAINT "share_club_id_profile_id_version_profile_version_club_id_profile_id_version_fk" FOREIGN KEY ("club_id","profile_id","version") REFERENCES "public"."profile_version"("club_id","profile_id","version") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "calibration" ADD CONSTRAINT "calibration_club_id_unit_id_controller_unit_club_id_id_fk" FOREIGN KEY ("club_id","unit_id") REFERENCES "public"."controller_unit"("club_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "controller_unit" ADD CONSTRAINT "controller_unit_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "controller_unit" ADD CONSTRAINT "controller_unit_club_id_driver_id_driver_club_id_id_fk" FOREIGN KEY ("club_id","driver_id") REFERENCES "public"."driver"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "controller_unit" ADD CONSTRAINT "controller_unit_club_id_track_id_track_club_id_id_fk" FOREIGN KEY ("club_id","track_id") REFERENCES "public"."track"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "trigger_trace" ADD CONSTRAINT "trigger_trace_club_id_unit_id_controller_unit_club_id_id_fk" FOREIGN KEY ("club_id","unit_id") REFERENCES "public"."controller_unit"("club_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "profile_driver" ON "profile" USING btree ("club_id","driver_id");--> statement-breakpoint
CREATE INDEX "profile_choice_driver" ON "profile_choice" USING btree ("club_id","driver_id");--> statement-breakpoint
CREATE INDEX "share_profile" ON "share" USING btree ("club_id","profile_id");--> statement-breakpoint
CREATE INDEX "trigger_trace_age" ON "trigger_trace" USING btree ("club_id","unit_id","created_at");--> statement-breakpoint
ALTER TABLE "heat_lane" ADD CONSTRAINT "heat_lane_club_id_profile_id_profile_version_profile_version_club_id_profile_id_version_fk" FOREIGN KEY ("club_id","profile_id","profile_version") REFERENCES "public"."profile_version"("club_id","profile_id","version") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "heat_lane_profile" ON "heat_lane" USING btree ("club_id","profile_id","profile_version");