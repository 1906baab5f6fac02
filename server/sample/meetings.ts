import type { MeetingFacts } from '../results/meeting-facts.ts';
import { randomFrom } from '../shared/random.ts';
import { daysBefore, instantIn } from './calendar.ts';
import type { SampleWords } from './club.ts';
import { runEvening } from './evening.ts';
import { lineUp } from './line-up.ts';
import { type EveningPlan, season, tonight } from './season.ts';

export type SampleMeeting = { readonly plan: EveningPlan; readonly facts: MeetingFacts };

/** Which season of all that could have been the sample club looks back on. */
export const seasonDrawn = 65_000;

/** Meetings begin at this time of day. */
export const eveningTime = '19:00';

/**
 * The meetings of the sample club: its past season, all run and confirmed, the earliest first, and the one of today,
 * drawn and not begun. The same day, zone and seed give the same meetings.
 *
 * @param today `YYYY-MM-DD` in the club's zone
 * @param zone IANA name
 * @param seed whole number; the club's own is `seasonDrawn`
 */
export function sampleMeetings(
  words: SampleWords,
  { today, zone, seed }: { today: string; zone: string; seed: number },
): { past: SampleMeeting[]; tonight: SampleMeeting } {
  const past = season.map((plan, meeting) => {
    const date = daysBefore(today, 7 * plan.weeksAgo);
    const when = { startUs: instantIn(zone, date, eveningTime), meeting };
    const facts = runEvening(
      words,
      plan,
      lineUp(words, plan, date, zone),
      when,
      randomFrom(seed + meeting + 1000 * plan.drawn),
    );
    return { plan, facts };
  });
  return { past, tonight: { plan: tonight, facts: lineUp(words, tonight, today, zone).facts } };
}
