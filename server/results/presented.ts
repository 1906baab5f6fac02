import { countMeeting } from './count.ts';
import type { MeetingFacts } from './meeting-facts.ts';
import { type MeetingReport, meetingReport } from './report.ts';
import type { StoredResults } from './results-store.ts';
import type { RaceStanding } from './standing.ts';

/** What is shown of a meeting's results, whoever asks. */
export type PresentedMeeting = {
  readonly meeting: { readonly name: string; readonly date: string; readonly zone: string; readonly trackName: string };
  readonly report: MeetingReport;
  /** In the order of the races: what the results JSON holds. */
  readonly standings: readonly RaceStanding[];
  /** By entry id; empty for an entry without a car. */
  readonly cars: ReadonlyMap<string, string>;
  /** Entries of drivers who went home. */
  readonly withdrawn: ReadonlySet<string>;
  /** The latest kept revision by race id. */
  readonly revisions: ReadonlyMap<string, { readonly number: number; readonly at: Date }>;
};

/**
 * Counts a meeting and puts together what is shown of it.
 *
 * @param facts of the meeting, with the names that may be shown
 */
export function presentMeeting({ stored, revisions }: StoredResults, facts: MeetingFacts): PresentedMeeting {
  const { name, date, zone, trackName } = stored.meeting;
  const counted = countMeeting(facts);
  const removed = new Set(stored.heats.filter(({ removedAt }) => removedAt !== null).map(({ id }) => id));
  const gone = stored.entries.filter(({ withdrawnAt }) => withdrawnAt !== null);
  return {
    meeting: { name, date, zone, trackName },
    report: meetingReport(facts, counted, (heat) => !removed.has(heat)),
    standings: counted.races,
    cars: new Map(facts.entries.map(({ id, car }) => [id, car])),
    withdrawn: new Set(gone.map(({ id }) => id)),
    revisions: new Map(
      [...revisions].map(([race, { revision, createdAt }]) => [race, { number: revision, at: createdAt }]),
    ),
  };
}
