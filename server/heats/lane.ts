import { AppendList } from './append-list.ts';
import type { Crossing, Verdict } from './facts.ts';
import type { LaneRules } from './lane-rules.ts';
import { type Lap, type LapTiming, lapsCompleted, timeLap } from './laps.ts';
import { compareCrossings, crossingId } from './order.ts';
import { never } from './race-clock.ts';
import { verdictOn } from './verdict.ts';

export type JudgedCrossing = { readonly crossing: Crossing; readonly verdict: Verdict };

/** A lane as far as its crossings have come. */
export type LaneState = {
  readonly rules: LaneRules;
  /** In the order of the verdicts. */
  readonly crossings: AppendList<JudgedCrossing>;
  readonly laps: AppendList<Lap>;
  /** Crossings of this lane's sensor that are treated as another lane's, in the order of the verdicts. */
  readonly movedAway: readonly Crossing[];
  /** The instant from which the lane has all its laps, or `never`. */
  readonly goalAtUs: number;
  /** The fastest lap without flags (`standing` alone where the club allows it), or null. */
  readonly fastestUs: number | null;
  /** The first early crossing in the last five seconds before the lane's start, or null. */
  readonly falseStart: Crossing | null;
  /** The latest crossing or moved-away crossing taken in. */
  readonly latest: Crossing | null;
  /** The crossing that opened the lap under way; null: none has counted. */
  readonly opening: Crossing | null;
  /** Whether that lap will be `ruled` whatever closes it. */
  readonly ruledSoFar: boolean;
};

/** A crossing at most so long before the lane's start is a false start, in microseconds. */
const falseStartUs = 5_000_000;

function emptyLane(rules: LaneRules, movedAway: readonly Crossing[]): LaneState {
  return {
    rules,
    crossings: AppendList.empty(),
    laps: AppendList.empty(),
    movedAway,
    goalAtUs: never,
    fastestUs: null,
    falseStart: null,
    latest: null,
    opening: null,
    ruledSoFar: false,
  };
}

/**
 * Counts a lane from the beginning.
 *
 * @param crossings treated as this lane's, in the order of the verdicts
 * @param movedAway in the order of the verdicts
 */
export function foldLane(
  rules: LaneRules,
  crossings: readonly Crossing[],
  movedAway: readonly Crossing[] = [],
): LaneState {
  let lane = emptyLane(rules, movedAway);
  let next = 0;
  for (const crossing of crossings) {
    for (; next < movedAway.length; next++) {
      const away = movedAway[next] as Crossing;
      if (compareCrossings(away, crossing) > 0) break;
      lane = passOver(lane, away);
    }
    lane = takeIn(lane, crossing);
  }
  for (; next < movedAway.length; next++) lane = passOver(lane, movedAway[next] as Crossing);
  return lane;
}

/** Whether `takeIn` may be given the crossing: it comes after everything the lane has taken in. */
export function comesNext(lane: LaneState, crossing: Crossing): boolean {
  return lane.latest === null || compareCrossings(lane.latest, crossing) < 0;
}

/** What one more crossing changes of a lane, apart from the crossing itself. */
type Progress = Pick<LaneState, 'laps' | 'goalAtUs' | 'fastestUs' | 'falseStart' | 'opening' | 'ruledSoFar'>;

/** The lane with one more crossing, which comes after all others: constant time. */
export function takeIn(lane: LaneState, crossing: Crossing): LaneState {
  const { rules, opening } = lane;
  const judged = judgedValue(rules, crossing);
  const timing = isLapUnderWay(lane, crossing) ? timeLap(rules, opening, crossing) : null;
  const soFar = { lapCount: lane.laps.length, opened: opening !== null, lapUs: timing?.durationUs ?? null };
  const verdict = verdictOn(rules, soFar, crossing, judged);
  const next = progress(lane, crossing, verdict, judged ?? 1, timing);
  // Spelled out: copying a lane by spreading it would take most of the time of a fold.
  return {
    rules,
    crossings: lane.crossings.append({ crossing, verdict }),
    laps: next.laps,
    movedAway: lane.movedAway,
    goalAtUs: next.goalAtUs,
    fastestUs: next.fastestUs,
    falseStart: next.falseStart,
    latest: crossing,
    opening: next.opening,
    ruledSoFar: next.ruledSoFar,
  };
}

function progress(
  lane: LaneState,
  crossing: Crossing,
  verdict: Verdict,
  parts: number,
  timing: LapTiming | null,
): Progress {
  switch (verdict) {
    case 'ruled out':
      return markRuled(lane, crossing);
    case 'early':
      return noteFalseStart(lane, crossing);
    case 'counts':
      // Before the heat is started there is no clock to count laps by.
      return lane.rules.clock.startUs === never ? lane : countIn(lane, crossing, parts, timing);
    default:
      return lane;
  }
}

/** Completes the lap under way, if one is (`timing`), and opens the next. */
function countIn(lane: LaneState, crossing: Crossing, parts: number, timing: LapTiming | null): Progress {
  const { rules, opening, falseStart } = lane;
  const endIsRuled = isRuled(rules, crossing);
  let { laps, fastestUs, goalAtUs } = lane;
  if (timing !== null) {
    const ruled = lane.ruledSoFar || endIsRuled;
    for (const lap of lapsCompleted(rules, laps.length, opening, crossing, timing, parts, ruled)) {
      laps = laps.append(lap);
      if (mayBeFastest(rules, lap) && (fastestUs === null || lap.durationUs < fastestUs)) fastestUs = lap.durationUs;
      if (lap.n === rules.goal) goalAtUs = crossing.atUs;
    }
  }
  return { laps, fastestUs, goalAtUs, falseStart, opening: crossing, ruledSoFar: endIsRuled };
}

/** Only a lap without flags may be a fastest lap; where the club allows it, `standing` alone does no harm. */
function mayBeFastest({ standingFastest }: LaneRules, { flags }: Lap): boolean {
  return flags.length === 0 || (standingFastest && flags.length === 1 && flags[0] === 'standing');
}

/** Whether a crossing that counts now would complete a lap: under line ahead the first one only opens one. */
function isLapUnderWay({ rules, opening }: LaneState, crossing: Crossing): boolean {
  return opening !== null || (rules.start !== 'ahead' && crossing.atUs >= rules.startUs);
}

/** The lane past a crossing that is treated as another lane's. */
function passOver(lane: LaneState, away: Crossing): LaneState {
  return { ...markRuled(lane, away), latest: away };
}

/** A crossing that was ruled out or moved away makes the lap `ruled` in which it lies. */
function markRuled(lane: LaneState, crossing: Crossing): LaneState {
  return isLapUnderWay(lane, crossing) ? { ...lane, ruledSoFar: true } : lane;
}

function noteFalseStart(lane: LaneState, crossing: Crossing): LaneState {
  const { startUs } = lane.rules;
  const near = startUs !== never && startUs - crossing.atUs <= falseStartUs;
  return near && lane.falseStart === null ? { ...lane, falseStart: crossing } : lane;
}

function judgedValue({ rulings }: LaneRules, crossing: Crossing): number | null {
  return rulings.judged.size === 0 ? null : (rulings.judged.get(crossingId(crossing)) ?? null);
}

/** Whether a crossing, as the end of a lap, makes it `ruled`: judged or moved (be it back to its own lane). */
function isRuled({ rulings }: LaneRules, crossing: Crossing): boolean {
  if (rulings.judged.size === 0 && rulings.moved.size === 0) return false;
  const id = crossingId(crossing);
  return rulings.judged.has(id) || rulings.moved.has(id);
}
