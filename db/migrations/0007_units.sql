ALTER TABLE "controller_unit" ADD COLUMN "mechanical_setting_at" timestamp with time zone DEFAULT now() NOT NULL;--> statement-breakpoint
ALTER TABLE "trigger_trace" ADD COLUMN "name" text;--> statement-breakpoint
ALTER TABLE "trigger_trace" ADD CONSTRAINT "trigger_trace_name" UNIQUE("club_id","unit_id","name");