ALTER TABLE "crossing_conflict" DROP CONSTRAINT "crossing_conflict_club_id_track_id_id_pk";--> statement-breakpoint
ALTER TABLE "crossing_conflict" ADD CONSTRAINT "crossing_conflict_content" PRIMARY KEY("club_id","track_id","device_id","boot","seq","lane","t_us");--> statement-breakpoint
ALTER TABLE "crossing_conflict" ADD COLUMN "why" text NOT NULL;--> statement-breakpoint
ALTER TABLE "crossing_conflict" DROP COLUMN "id";