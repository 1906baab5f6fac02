/** Results in words: what the pages and the plain text say alike. */
import type { Race } from '../server/results/meeting-facts.ts';
import type { RaceReport } from '../server/results/report.ts';
import type { RulingLine } from '../server/results/ruling-list.ts';
import type { RaceRow } from '../server/results/standing.ts';
import type { TieBreak } from '../server/results/tie-break.ts';
import {
  heatLength,
  hundredthsOfLap,
  lapGap,
  lapTime,
  longDate,
  raceScore,
  type ScoreKind,
  shortDate,
  timeGap,
  timeOfDay,
} from './format.ts';
import { results as t } from './texts/en/results.ts';

/** A score with its unit: "31.42 laps", "1:02.345". */
export function scoreWords(kind: ScoreKind, score: number): string {
  return kind === 'time' ? t.headline.laps(hundredthsOfLap(score)) : t.headline.time(raceScore(kind, score));
}

/** How many of its heats an entry of a *laps* race has finished. */
export function unfinishedWords({ heats }: RaceRow): string {
  return t.standing.notFinished(heats.filter(({ score }) => score !== null).length, heats.length);
}

/** A gap with its unit: "1.24 laps", "1.240 s". */
function gapWords(kind: ScoreKind, gap: number): string {
  if (kind === 'time') return t.headline.laps(hundredthsOfLap(gap));
  return gap < 60_000 ? t.ruling.seconds(lapTime(gap * 1000)) : lapTime(gap * 1000);
}

/** Why somebody is ahead on equal scores. */
export function tieWords(tie: TieBreak): string {
  switch (tie.by) {
    case 'heat':
      return t.tie.heat(tie.nth);
    case 'shared':
      return '';
    default:
      return t.tie[tie.by];
  }
}

/** The one sentence about a race. Provisional results speak of leading, not of winning. */
export function headlineWords({ headline, race, ...report }: RaceReport): string {
  const words = t.headline;
  const won = isFinal(report);
  const kind = race.format.kind;
  switch (headline.kind) {
    case 'not-begun':
      return words.notBegun(race.name);
    case 'nobody':
      return words.nobody(race.name);
    case 'no-lap':
      return words.noLap(race.name);
    case 'mean':
      return words.mean(headline.leader, race.name, scoreWords(kind, headline.mean));
    case 'unfinished':
      return words.unfinished(headline.leader, race.name);
    case 'shared':
      return (won ? words.winShared : words.leadShared)(t.names(headline.leaders), race.name);
    case 'tie':
      return (won ? words.winsTie : words.leadsTie)(headline.leader, race.name, headline.second, tieWords(headline.by));
    case 'alone':
      return (won ? words.winsAlone : words.leadsAlone)(headline.leader, race.name, scoreWords(kind, headline.score));
    case 'ahead':
      return (won ? words.wins : words.leads)(headline.leader, race.name, gapWords(kind, headline.gap));
  }
}

/** Whether nothing is left to be run or confirmed. */
export function isFinal({ toRun, unconfirmed }: Pick<RaceReport, 'toRun' | 'unconfirmed'>): boolean {
  return toRun === 0 && unconfirmed === 0;
}

/** Says why a race's results are provisional, or that they are not; null before its first heat. */
export function stateWords({ headline, toRun, unconfirmed }: RaceReport): string | null {
  if (headline.kind === 'not-begun') return null;
  if (toRun > 0) return t.state.toRun(toRun);
  return unconfirmed > 0 ? t.state.unconfirmed(unconfirmed) : t.state.final;
}

/** How the heats of a race are run: one or two sentences. */
export function formatWords({ format, missing }: Race): string {
  const run = `${lengthWords(format)}.`;
  return missing === 'mean' && format.kind === 'time' ? `${run} ${t.format.missingMean}` : run;
}

function lengthWords(format: Race['format']): string {
  const words = t.format;
  if (format.kind === 'laps') {
    const { laps, limitMs } = format;
    return limitMs === null ? words.laps(laps) : words.lapsWithin(laps, heatLength(limitMs));
  }
  const { durationMs, firstTo } = format;
  if (durationMs === null) return words.firstTo(firstTo ?? 0);
  const length = heatLength(durationMs);
  return firstTo === null ? words.time(length) : words.timeOrFirstTo(length, firstTo);
}

/** What a ruling says, without who and why. */
export function rulingWords(line: RulingLine, kind: ScoreKind, nameOf: (entry: string) => string): string {
  const { ruling } = line;
  const words = t.ruling;
  const who = line.entry === null ? '' : nameOf(line.entry);
  const whom = line.lane === null ? who : words.lane(line.lane, who === '' ? '' : words.who(who));
  switch (ruling.kind) {
    case 'judge': {
      const crossing = crossingWords(line, who);
      if (ruling.value === 0) return words.judge0(crossing);
      return ruling.value === 1 ? words.judge1(crossing) : words.judge(crossing, ruling.value);
    }
    case 'move':
      return words.move(crossingWords(line, who), ruling.value);
    case 'adjust': {
      const by = kind === 'time' ? words.laps(lapGap(ruling.value)) : words.seconds(timeGap(ruling.value * 1000));
      return 'entry' in ruling.target ? words.adjustRace(whom, by) : words.adjust(whom, by);
    }
    case 'total':
      return words.total(whom, scoreWords(kind, ruling.value));
    case 'part':
      return words.part(whom, hundredthsOfLap(ruling.value));
    case 'retire':
      return words.retire(whom);
    case 'exclude':
      return ruling.value === 'heat' ? words.excludeHeat(whom) : words.excludeRace(whom);
    case 'void':
      return words.void;
    case 'undo':
      return words.undo(ruling.target.n);
  }
}

function crossingWords({ lane, raceUs }: RulingLine, who: string): string {
  const words = t.ruling;
  const clock = raceUs === null ? '' : lapTime(Math.abs(raceUs));
  const at = raceUs === null ? '' : raceUs < 0 ? words.before(clock) : words.at(clock);
  return words.crossing(lane ?? 0, who === '' ? '' : words.who(who), at);
}

/** @param at an instant, or microseconds on the server's scale */
export function clockTime(at: Date | number, zone: string, lang: string): string {
  const date = typeof at === 'number' ? new Date(Math.floor(at / 1000)) : at;
  if (Number.isNaN(date.getTime())) return '';
  return timeOfDay(date, { zone, locale: lang });
}

/** A day of the calendar, `YYYY-MM-DD`, in words. */
export function dayWords(date: string, lang: string, length: 'long' | 'short' = 'long'): string {
  const noon = new Date(`${date}T12:00:00Z`);
  return (length === 'long' ? longDate : shortDate)(noon, { zone: 'UTC', locale: lang });
}
