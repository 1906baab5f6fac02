import type { HeatState } from '../heats/fold.ts';
import { confirmedAtUs, isStarted, isVoid } from '../heats/phase.ts';
import type { CountedMeeting } from './count.ts';
import { type HeatCounts, heatCounts, meanPerHeat } from './equal-heats.ts';
import { type Headline, headline } from './headline.ts';
import { type HeatResultRow, heatResult } from './heat-result.ts';
import { type LaneRecord, type LaneTableRow, laneRecords, laneTable } from './lane-table.ts';
import { lapChart, type PlaceLine, raceChart } from './lap-chart.ts';
import { type LapSpread, lapSpreads } from './lap-spread.ts';
import type { Heat, MeetingFacts, Race } from './meeting-facts.ts';
import { type RulingLine, rulingList } from './ruling-list.ts';
import type { RaceStanding } from './standing.ts';
import { type TieBreak, tieBreaks } from './tie-break.ts';

/** Where a heat is, as far as the facts go. */
export type HeatStage = 'planned' | 'running' | 'ended' | 'confirmed' | 'void';

/** One heat in the results of a meeting. */
export type HeatReport = {
  readonly heat: Heat;
  /** Its place among the heats of its race, from 1, and how many there are. */
  readonly number: number;
  readonly of: number;
  readonly stage: HeatStage;
  readonly state: HeatState;
  readonly result: readonly HeatResultRow[];
  /** Place after each lap. */
  readonly chart: readonly PlaceLine[];
  readonly rulings: readonly RulingLine[];
};

/** One race in the results of a meeting. */
export type RaceReport = {
  readonly race: Race;
  readonly standing: RaceStanding;
  readonly headline: Headline;
  /** Why each row is ahead of the next one, where the score does not say it. */
  readonly ties: readonly (TieBreak | null)[];
  /** Heats on the plan that were not started; heats that were started, count, and are not confirmed. */
  readonly toRun: number;
  readonly unconfirmed: number;
  readonly counts: HeatCounts;
  /** Mean per heat of each row. */
  readonly means: readonly (number | null)[];
  /** Place after each heat, or, of a race of one heat, after each lap. */
  readonly chart: { readonly step: 'heat' | 'lap'; readonly lines: readonly PlaceLine[] };
  readonly spreads: readonly LapSpread[];
  /** Numbers of the lanes that were driven on. */
  readonly lanes: readonly number[];
  readonly laneTable: readonly LaneTableRow[];
  readonly laneRecords: readonly LaneRecord[];
  readonly heats: readonly HeatReport[];
};

export type MeetingReport = {
  readonly races: readonly RaceReport[];
  /** Nickname by entry id. */
  readonly names: ReadonlyMap<string, string>;
};

/**
 * Everything that the results pages show of a meeting.
 *
 * @param counted the same facts, counted
 * @param onPlan whether a heat is on the plan: one that was taken off and never started is left out
 */
export function meetingReport(
  facts: MeetingFacts,
  counted: CountedMeeting,
  onPlan: (heatId: string) => boolean,
): MeetingReport {
  const nicknames = new Map(facts.drivers.map(({ id, nickname }) => [id, nickname]));
  const names = new Map(facts.entries.map(({ id, driver }) => [id, nicknames.get(driver) ?? '']));
  const races = facts.races.map((race, i) => {
    const heats = facts.heats.filter((heat) => heat.race === race.id && onPlan(heat.id));
    const reports = heats.map((heat, at) => heatReport(heat, at + 1, heats.length, counted));
    return raceReport(race, counted.races[i] as RaceStanding, reports);
  });
  return { races, names };
}

function heatReport(heat: Heat, number: number, of: number, { heats, latestUs }: CountedMeeting): HeatReport {
  const state = heats.get(heat.id) as HeatState;
  const stage = stageOf(state, latestUs);
  const result = heatResult(state);
  return { heat, number, of, stage, state, result, chart: lapChart(state, result), rulings: rulingList(state) };
}

function stageOf(state: HeatState, latestUs: number): HeatStage {
  if (isVoid(state)) return 'void';
  if (!isStarted(state)) return 'planned';
  if (confirmedAtUs(state) !== null) return 'confirmed';
  return latestUs >= state.clock.endUs ? 'ended' : 'running';
}

function raceReport(race: Race, standing: RaceStanding, heats: readonly HeatReport[]): RaceReport {
  const { rows } = standing;
  const counting = heats.filter(({ stage }) => stage !== 'planned' && stage !== 'void');
  const toRun = heats.filter(({ stage }) => stage === 'planned').length;
  const ties = tieBreaks(race, rows, counting.length);
  const lanes = [...new Set(rows.flatMap((row) => row.heats.map(({ lane }) => lane)))].sort((a, b) => a - b);
  const [only] = counting;
  const entries = rows.map(({ entry }) => entry);
  return {
    race,
    standing,
    headline: headline(rows, race.format.kind, ties, toRun),
    ties,
    toRun,
    unconfirmed: counting.filter(({ stage }) => stage !== 'confirmed').length,
    counts: heatCounts(rows),
    means: rows.map(meanPerHeat),
    chart:
      only && counting.length === 1
        ? { step: 'lap', lines: only.chart }
        : { step: 'heat', lines: raceChart(rows, race.format.kind) },
    spreads: lapSpreads(
      entries,
      counting.map(({ state }) => state),
    ),
    lanes,
    laneTable: laneTable(rows, lanes),
    laneRecords: laneRecords(rows, lanes),
    heats,
  };
}
