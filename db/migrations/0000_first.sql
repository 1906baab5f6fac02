CREATE TABLE "command" (
	"club_id" text NOT NULL,
	"id" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "command_club_id_id_pk" PRIMARY KEY("club_id","id")
);
--> statement-breakpoint
CREATE TABLE "invite" (
	"club_id" text NOT NULL,
	"code_hash" text NOT NULL,
	"role" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"expires_at" timestamp with time zone NOT NULL,
	"used_at" timestamp with time zone,
	CONSTRAINT "invite_club_id_code_hash_pk" PRIMARY KEY("club_id","code_hash")
);
--> statement-breakpoint
CREATE TABLE "session" (
	"club_id" text NOT NULL,
	"token_hash" text NOT NULL,
	"role" text NOT NULL,
	"label" text NOT NULL,
	"driver_id" text,
	"meeting_id" text,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	"seen_at" timestamp with time zone DEFAULT now() NOT NULL,
	"expires_at" timestamp with time zone NOT NULL,
	CONSTRAINT "session_club_id_token_hash_pk" PRIMARY KEY("club_id","token_hash")
);
--> statement-breakpoint
CREATE TABLE "setup_code" (
	"code_hash" text PRIMARY KEY NOT NULL,
	"failures" integer DEFAULT 0 NOT NULL,
	"expires_at" timestamp with time zone NOT NULL
);
--> statement-breakpoint
CREATE TABLE "clock_anchor" (
	"boot_id" text PRIMARY KEY NOT NULL,
	"monotonic_us" bigint NOT NULL,
	"wall_us" bigint NOT NULL
);
--> statement-breakpoint
CREATE TABLE "club" (
	"id" text PRIMARY KEY NOT NULL,
	"slug" text NOT NULL,
	"name" text NOT NULL,
	"zone" text NOT NULL,
	"sample" boolean DEFAULT false NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "club_slug_unique" UNIQUE("slug")
);
--> statement-breakpoint
CREATE TABLE "car" (
	"club_id" text NOT NULL,
	"id" text NOT NULL,
	"name" text NOT NULL,
	"class_id" text,
	"driver_id" text,
	"archived_at" timestamp with time zone,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "car_club_id_id_pk" PRIMARY KEY("club_id","id")
);
--> statement-breakpoint
CREATE TABLE "car_class" (
	"club_id" text NOT NULL,
	"id" text NOT NULL,
	"name" text NOT NULL,
	"archived_at" timestamp with time zone,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "car_class_club_id_id_pk" PRIMARY KEY("club_id","id")
);
--> statement-breakpoint
CREATE TABLE "driver" (
	"club_id" text NOT NULL,
	"id" text NOT NULL,
	"nickname" text NOT NULL,
	"nickname_key" text NOT NULL,
	"public" boolean DEFAULT true NOT NULL,
	"archived_at" timestamp with time zone,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "driver_club_id_id_pk" PRIMARY KEY("club_id","id")
);
--> statement-breakpoint
CREATE TABLE "heat" (
	"club_id" text NOT NULL,
	"meeting_id" text NOT NULL,
	"id" text NOT NULL,
	"race_id" text NOT NULL,
	"ordinal" bigint NOT NULL,
	"reruns" text,
	"removed_at" timestamp with time zone,
	CONSTRAINT "heat_club_id_meeting_id_id_pk" PRIMARY KEY("club_id","meeting_id","id")
);
--> statement-breakpoint
CREATE TABLE "heat_event" (
	"club_id" text NOT NULL,
	"meeting_id" text NOT NULL,
	"heat_id" text NOT NULL,
	"n" integer NOT NULL,
	"track_id" text NOT NULL,
	"fact_no" bigint NOT NULL,
	"kind" text NOT NULL,
	"at_us" bigint NOT NULL,
	"by" text NOT NULL,
	"target" text,
	"value" text,
	"why" text,
	"recorded_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "heat_event_club_id_meeting_id_heat_id_n_pk" PRIMARY KEY("club_id","meeting_id","heat_id","n"),
	CONSTRAINT "heat_event_fact" UNIQUE("club_id","track_id","fact_no")
);
--> statement-breakpoint
CREATE TABLE "heat_lane" (
	"club_id" text NOT NULL,
	"meeting_id" text NOT NULL,
	"heat_id" text NOT NULL,
	"lane" integer NOT NULL,
	"entry_id" text NOT NULL,
	"delay_ms" bigint DEFAULT 0 NOT NULL,
	CONSTRAINT "heat_lane_club_id_meeting_id_heat_id_lane_pk" PRIMARY KEY("club_id","meeting_id","heat_id","lane"),
	CONSTRAINT "heat_lane_entry" UNIQUE("club_id","meeting_id","heat_id","entry_id")
);
--> statement-breakpoint
CREATE TABLE "heat_marshal" (
	"club_id" text NOT NULL,
	"meeting_id" text NOT NULL,
	"heat_id" text NOT NULL,
	"post" integer NOT NULL,
	"entry_id" text NOT NULL,
	CONSTRAINT "heat_marshal_club_id_meeting_id_heat_id_post_pk" PRIMARY KEY("club_id","meeting_id","heat_id","post")
);
--> statement-breakpoint
CREATE TABLE "lap" (
	"club_id" text NOT NULL,
	"meeting_id" text NOT NULL,
	"heat_id" text NOT NULL,
	"lane" integer NOT NULL,
	"n" integer NOT NULL,
	"entry_id" text NOT NULL,
	"driver_id" text NOT NULL,
	"duration_us" bigint NOT NULL,
	"flags" text[] NOT NULL,
	CONSTRAINT "lap_club_id_meeting_id_heat_id_lane_n_pk" PRIMARY KEY("club_id","meeting_id","heat_id","lane","n")
);
--> statement-breakpoint
CREATE TABLE "standing" (
	"club_id" text NOT NULL,
	"meeting_id" text NOT NULL,
	"race_id" text NOT NULL,
	"revision" integer NOT NULL,
	"provisional" boolean NOT NULL,
	"results" text NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "standing_club_id_meeting_id_race_id_revision_pk" PRIMARY KEY("club_id","meeting_id","race_id","revision")
);
--> statement-breakpoint
CREATE TABLE "entry" (
	"club_id" text NOT NULL,
	"meeting_id" text NOT NULL,
	"id" text NOT NULL,
	"race_id" text NOT NULL,
	"ordinal" integer NOT NULL,
	"driver_id" text NOT NULL,
	"car_id" text,
	"withdrawn_at" timestamp with time zone,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "entry_club_id_meeting_id_id_pk" PRIMARY KEY("club_id","meeting_id","id")
);
--> statement-breakpoint
CREATE TABLE "meeting" (
	"club_id" text NOT NULL,
	"id" text NOT NULL,
	"track_id" text NOT NULL,
	"name" text NOT NULL,
	"date" date NOT NULL,
	"zone" text NOT NULL,
	"track_name" text NOT NULL,
	"track_settings" jsonb NOT NULL,
	"join_code" text,
	"public_code" text NOT NULL,
	"published" boolean DEFAULT false NOT NULL,
	"archived_at" timestamp with time zone,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "meeting_club_id_id_pk" PRIMARY KEY("club_id","id"),
	CONSTRAINT "meeting_publicCode_unique" UNIQUE("public_code"),
	CONSTRAINT "meeting_join_code" UNIQUE("club_id","join_code")
);
--> statement-breakpoint
CREATE TABLE "race" (
	"club_id" text NOT NULL,
	"meeting_id" text NOT NULL,
	"id" text NOT NULL,
	"ordinal" integer NOT NULL,
	"name" text NOT NULL,
	"class_id" text NOT NULL,
	"format" text NOT NULL,
	"duration_ms" bigint,
	"first_to" bigint,
	"laps" bigint,
	"limit_ms" bigint,
	"min_lap_us" bigint,
	"missing" text NOT NULL,
	"standing_fastest" boolean NOT NULL,
	"heats_per_entry" bigint,
	"marshals" integer DEFAULT 0 NOT NULL,
	"countdown_ms" integer DEFAULT 5000 NOT NULL,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "race_club_id_meeting_id_id_pk" PRIMARY KEY("club_id","meeting_id","id")
);
--> statement-breakpoint
CREATE TABLE "crossing" (
	"club_id" text NOT NULL,
	"track_id" text NOT NULL,
	"device_id" text NOT NULL,
	"boot" text NOT NULL,
	"seq" bigint NOT NULL,
	"lane" integer NOT NULL,
	"t_us" bigint NOT NULL,
	"at_us" bigint NOT NULL,
	"late" boolean DEFAULT false NOT NULL,
	"fact_no" bigint NOT NULL,
	"received_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "crossing_club_id_track_id_device_id_boot_seq_pk" PRIMARY KEY("club_id","track_id","device_id","boot","seq"),
	CONSTRAINT "crossing_fact" UNIQUE("club_id","track_id","fact_no")
);
--> statement-breakpoint
CREATE TABLE "crossing_conflict" (
	"club_id" text NOT NULL,
	"track_id" text NOT NULL,
	"id" bigint GENERATED ALWAYS AS IDENTITY (sequence name "crossing_conflict_id_seq" INCREMENT BY 1 MINVALUE 1 MAXVALUE 9223372036854775807 START WITH 1 CACHE 1),
	"device_id" text NOT NULL,
	"boot" text NOT NULL,
	"seq" bigint NOT NULL,
	"lane" integer NOT NULL,
	"t_us" bigint NOT NULL,
	"received_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "crossing_conflict_club_id_track_id_id_pk" PRIMARY KEY("club_id","track_id","id")
);
--> statement-breakpoint
CREATE TABLE "device" (
	"club_id" text NOT NULL,
	"track_id" text NOT NULL,
	"id" text NOT NULL,
	"kind" text NOT NULL,
	"name" text NOT NULL,
	"bits" integer NOT NULL,
	"token_hash" text,
	"revoked_at" timestamp with time zone,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "device_club_id_track_id_id_pk" PRIMARY KEY("club_id","track_id","id"),
	CONSTRAINT "device_token" UNIQUE("club_id","token_hash")
);
--> statement-breakpoint
CREATE TABLE "device_boot" (
	"club_id" text NOT NULL,
	"track_id" text NOT NULL,
	"device_id" text NOT NULL,
	"boot" text NOT NULL,
	"clock" jsonb,
	"first_seq" bigint,
	"final_to" bigint,
	"buffered" integer,
	"rtt_us" bigint,
	"heartbeat_at" timestamp with time zone,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "device_boot_club_id_track_id_device_id_boot_pk" PRIMARY KEY("club_id","track_id","device_id","boot")
);
--> statement-breakpoint
CREATE TABLE "lane" (
	"club_id" text NOT NULL,
	"track_id" text NOT NULL,
	"number" integer NOT NULL,
	"colour" text NOT NULL,
	"pattern" text NOT NULL,
	"length_mm" bigint NOT NULL,
	"min_lap_us" bigint NOT NULL,
	CONSTRAINT "lane_club_id_track_id_number_pk" PRIMARY KEY("club_id","track_id","number")
);
--> statement-breakpoint
CREATE TABLE "track" (
	"club_id" text NOT NULL,
	"id" text NOT NULL,
	"name" text NOT NULL,
	"start_mode" text NOT NULL,
	"hold_roll_us" bigint NOT NULL,
	"end_roll_us" bigint NOT NULL,
	"fact_no" bigint DEFAULT 0 NOT NULL,
	"plan_no" bigint DEFAULT 0 NOT NULL,
	"imported" boolean DEFAULT false NOT NULL,
	"archived_at" timestamp with time zone,
	"created_at" timestamp with time zone DEFAULT now() NOT NULL,
	CONSTRAINT "track_club_id_id_pk" PRIMARY KEY("club_id","id")
);
--> statement-breakpoint
ALTER TABLE "command" ADD CONSTRAINT "command_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "invite" ADD CONSTRAINT "invite_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "session" ADD CONSTRAINT "session_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "car" ADD CONSTRAINT "car_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "car" ADD CONSTRAINT "car_club_id_class_id_car_class_club_id_id_fk" FOREIGN KEY ("club_id","class_id") REFERENCES "public"."car_class"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "car" ADD CONSTRAINT "car_club_id_driver_id_driver_club_id_id_fk" FOREIGN KEY ("club_id","driver_id") REFERENCES "public"."driver"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "car_class" ADD CONSTRAINT "car_class_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "driver" ADD CONSTRAINT "driver_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "heat" ADD CONSTRAINT "heat_club_id_meeting_id_race_id_race_club_id_meeting_id_id_fk" FOREIGN KEY ("club_id","meeting_id","race_id") REFERENCES "public"."race"("club_id","meeting_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "heat_event" ADD CONSTRAINT "heat_event_club_id_meeting_id_heat_id_heat_club_id_meeting_id_id_fk" FOREIGN KEY ("club_id","meeting_id","heat_id") REFERENCES "public"."heat"("club_id","meeting_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "heat_event" ADD CONSTRAINT "heat_event_club_id_track_id_track_club_id_id_fk" FOREIGN KEY ("club_id","track_id") REFERENCES "public"."track"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "heat_lane" ADD CONSTRAINT "heat_lane_club_id_meeting_id_heat_id_heat_club_id_meeting_id_id_fk" FOREIGN KEY ("club_id","meeting_id","heat_id") REFERENCES "public"."heat"("club_id","meeting_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "heat_lane" ADD CONSTRAINT "heat_lane_club_id_meeting_id_entry_id_entry_club_id_meeting_id_id_fk" FOREIGN KEY ("club_id","meeting_id","entry_id") REFERENCES "public"."entry"("club_id","meeting_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "heat_marshal" ADD CONSTRAINT "heat_marshal_club_id_meeting_id_heat_id_heat_club_id_meeting_id_id_fk" FOREIGN KEY ("club_id","meeting_id","heat_id") REFERENCES "public"."heat"("club_id","meeting_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "heat_marshal" ADD CONSTRAINT "heat_marshal_club_id_meeting_id_entry_id_entry_club_id_meeting_id_id_fk" FOREIGN KEY ("club_id","meeting_id","entry_id") REFERENCES "public"."entry"("club_id","meeting_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "lap" ADD CONSTRAINT "lap_club_id_meeting_id_heat_id_heat_club_id_meeting_id_id_fk" FOREIGN KEY ("club_id","meeting_id","heat_id") REFERENCES "public"."heat"("club_id","meeting_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "standing" ADD CONSTRAINT "standing_club_id_meeting_id_meeting_club_id_id_fk" FOREIGN KEY ("club_id","meeting_id") REFERENCES "public"."meeting"("club_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "entry" ADD CONSTRAINT "entry_club_id_meeting_id_race_id_race_club_id_meeting_id_id_fk" FOREIGN KEY ("club_id","meeting_id","race_id") REFERENCES "public"."race"("club_id","meeting_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "entry" ADD CONSTRAINT "entry_club_id_driver_id_driver_club_id_id_fk" FOREIGN KEY ("club_id","driver_id") REFERENCES "public"."driver"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "entry" ADD CONSTRAINT "entry_club_id_car_id_car_club_id_id_fk" FOREIGN KEY ("club_id","car_id") REFERENCES "public"."car"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "meeting" ADD CONSTRAINT "meeting_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "meeting" ADD CONSTRAINT "meeting_club_id_track_id_track_club_id_id_fk" FOREIGN KEY ("club_id","track_id") REFERENCES "public"."track"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "race" ADD CONSTRAINT "race_club_id_meeting_id_meeting_club_id_id_fk" FOREIGN KEY ("club_id","meeting_id") REFERENCES "public"."meeting"("club_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "race" ADD CONSTRAINT "race_club_id_class_id_car_class_club_id_id_fk" FOREIGN KEY ("club_id","class_id") REFERENCES "public"."car_class"("club_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "crossing" ADD CONSTRAINT "crossing_club_id_track_id_device_id_device_club_id_track_id_id_fk" FOREIGN KEY ("club_id","track_id","device_id") REFERENCES "public"."device"("club_id","track_id","id") ON DELETE no action ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "crossing_conflict" ADD CONSTRAINT "crossing_conflict_club_id_track_id_device_id_device_club_id_track_id_id_fk" FOREIGN KEY ("club_id","track_id","device_id") REFERENCES "public"."device"("club_id","track_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "device" ADD CONSTRAINT "device_club_id_track_id_track_club_id_id_fk" FOREIGN KEY ("club_id","track_id") REFERENCES "public"."track"("club_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "device_boot" ADD CONSTRAINT "device_boot_club_id_track_id_device_id_device_club_id_track_id_id_fk" FOREIGN KEY ("club_id","track_id","device_id") REFERENCES "public"."device"("club_id","track_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "lane" ADD CONSTRAINT "lane_club_id_track_id_track_club_id_id_fk" FOREIGN KEY ("club_id","track_id") REFERENCES "public"."track"("club_id","id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
ALTER TABLE "track" ADD CONSTRAINT "track_club_id_club_id_fk" FOREIGN KEY ("club_id") REFERENCES "public"."club"("id") ON DELETE cascade ON UPDATE no action;--> statement-breakpoint
CREATE INDEX "command_age" ON "command" USING btree ("created_at");--> statement-breakpoint
CREATE INDEX "driver_nickname" ON "driver" USING btree ("club_id","nickname_key");--> statement-breakpoint
CREATE INDEX "heat_event_arm" ON "heat_event" USING btree ("club_id","track_id","kind","at_us");--> statement-breakpoint
CREATE INDEX "lap_driver" ON "lap" USING btree ("club_id","driver_id");--> statement-breakpoint
CREATE INDEX "entry_driver" ON "entry" USING btree ("club_id","driver_id");--> statement-breakpoint
CREATE INDEX "meeting_date" ON "meeting" USING btree ("club_id","date");--> statement-breakpoint
CREATE INDEX "crossing_at" ON "crossing" USING btree ("club_id","track_id","at_us");