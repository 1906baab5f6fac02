import { groupBy } from '../shared/group-by.ts';
import type { HeatRow } from './heat-row.ts';
import { type Drift, driftAt, driftSeenByOthers } from './night-drift.ts';
import { mean } from './numeric/moments.ts';
import { z90 } from './told-range.ts';

/** The two settings of a car that are compared: `a` before, `b` after the change. */
export type Setting = 'a' | 'b';

export interface SettingHeat {
  readonly row: HeatRow;
  readonly setting: Setting;
}

/** What the club's model knows that a few heats of one driver cannot tell. */
export interface SettingContext {
  /** The club's standard deviation of a heat beyond its laps, in log pace. */
  readonly tau: number;
  /** Log effect of a lane, and its standard deviation; null where the model does not know the lane. */
  readonly lane: (track: string, lane: number) => { readonly logEffect: number; readonly sd: number } | null;
  /** Heats of everybody on that night: they show how the track changed meanwhile. */
  readonly night: readonly HeatRow[];
  /** The smallest effect worth knowing, in log pace. */
  readonly smallest?: number;
}

export interface SettingEffect {
  /** Log pace of b less a: below 0 b is faster. 0 where nothing can be compared. */
  readonly effect: number;
  /** Holds 90 % of what is likely; null where nothing can be compared. */
  readonly interval: { readonly low: number; readonly high: number } | null;
  /** The effect in seconds of a lap at the driver's pace. */
  readonly secondsPerLap: number;
  readonly verdict: 'faster' | 'slower' | 'noDifferenceSeen' | 'notEnoughLaps';
  /** How many more heats with each setting would settle it, about; 0 where it is settled. */
  readonly moreHeatsEach: number;
  readonly heats: { readonly a: number; readonly b: number };
}

/** The smallest effect worth knowing, in log pace. */
export const smallestWorthKnowing = 0.015;
/** What has not settled it so far needs more. */
export const leastMoreHeats = 1;
/**
 * The club model gives slow heats less weight, 7 / (6 + z^2) for z > 0, which takes this much off the variance of heats that
 * are normal: the mean of z^2 with those weights (by numerical integration). What two settings differ by has no such weights.
 */
export const weightedVariance = 0.9125;
/** How a driver's liking of lanes spreads beyond the lanes' own effects, where a and b were driven on different ones. */
export const driverLaneSd = 0.004;
export const usualLaneSd = 0.01;
/** Of fifteen clean laps of a usual driver: for a guess before a heat was driven. */
export const usualSamplingVariance = 0.03 ** 2 / 15;
/** Log seconds beyond which nobody drives a lap. */
const mostLogPace = 15;

/** Whether a heat's pace can be reckoned with at all. */
export const isSound = ({ y, v }: Pick<HeatRow, 'y' | 'v'>): boolean => Math.abs(y) < mostLogPace && v >= 0 && v < 1;

/**
 * Compares a driver's heats with two settings of a car on one night: the difference on each lane, weighted by what is
 * known of it. How much heats of the same car differ is the club's `tau`, not what two heats happen to show; a test of laps
 * would take laps of one heat for independent and find effects where there are none.
 *
 * Best driven in the order a, b, b, a, on the same lanes.
 */
export function settingEffect(heats: readonly SettingHeat[], context: SettingContext): SettingEffect {
  const sound = heats.filter(({ row }) => isSound(row));
  const tau2 = Number.isFinite(context.tau) ? Math.min(1, Math.abs(context.tau)) ** 2 : 0;
  const drift = driftOf(sound, context);
  const measured = sound.map((heat) => measure(heat, tau2, drift, context));
  const ofA = measured.filter(({ setting }) => setting === 'a');
  const numbers = { a: ofA.length, b: measured.length - ofA.length };
  const smallest = context.smallest ?? smallestWorthKnowing;
  const perHeat =
    measured.length > 0 ? mean(measured.map(({ q }) => q)) : (tau2 + usualSamplingVariance) / weightedVariance;
  const moreFor = (half: number) =>
    Math.max(leastMoreHeats, Math.ceil((2 * perHeat * z90 ** 2) / half ** 2) - Math.min(numbers.a, numbers.b));
  const difference = acrossSharedLanes(measured, drift) ?? acrossAllLanes(measured, drift);
  if (difference === null) {
    const nothing = { effect: 0, interval: null, secondsPerLap: 0, verdict: 'notEnoughLaps' } as const;
    return { ...nothing, moreHeatsEach: moreFor(smallest), heats: numbers };
  }
  const { effect, variance } = difference;
  const half = z90 * Math.sqrt(variance);
  const verdict = settingVerdict(effect, half, smallest);
  return {
    effect,
    interval: { low: effect - half, high: effect + half },
    secondsPerLap: Math.exp(mean(ofA.map(({ row }) => row.y))) * Math.expm1(effect),
    verdict,
    moreHeatsEach: verdict === 'notEnoughLaps' ? moreFor(Math.max(smallest, Math.abs(effect))) : 0,
    heats: numbers,
  };
}

/** @param half of the 90 % interval */
export function settingVerdict(effect: number, half: number, smallest: number): SettingEffect['verdict'] {
  if (Math.abs(effect) > half) return effect < 0 ? 'faster' : 'slower';
  return half <= smallest ? 'noDifferenceSeen' : 'notEnoughLaps';
}

function driftOf(heats: readonly SettingHeat[], context: SettingContext): Drift {
  const drivers = new Set(heats.map(({ row }) => row.driver));
  return driftSeenByOthers(context.night, drivers, (row) => row.y - laneOf(row, context).logEffect);
}

interface Measured extends SettingHeat {
  /** Log pace with lane and drift taken off. */
  readonly pace: number;
  /** Variance of `pace` as one of several heats: of the heat and of its laps. */
  readonly q: number;
  /** Variance of the lane's effect for this driver. */
  readonly laneVariance: number;
}

function measure(heat: SettingHeat, tau2: number, drift: Drift, context: SettingContext): Measured {
  const { row } = heat;
  const lane = laneOf(row, context);
  return {
    ...heat,
    pace: row.y - lane.logEffect - drift.perUnit * driftAt(row.startS),
    q: Math.max(1e-8, tau2 + row.v) / weightedVariance,
    laneVariance: lane.sd ** 2 + driverLaneSd ** 2,
  };
}

function laneOf(row: HeatRow, context: SettingContext) {
  const lane = context.lane(row.track, row.lane);
  const known = lane !== null && Number.isFinite(lane.logEffect) && Number.isFinite(lane.sd);
  return known ? lane : { logEffect: 0, sd: usualLaneSd };
}

interface Difference {
  readonly effect: number;
  readonly variance: number;
}

/** Within lanes that were driven with both settings: what a lane does cancels there. */
function acrossSharedLanes(heats: readonly Measured[], drift: Drift): Difference | null {
  const byLane = groupBy(heats, ({ row }) => JSON.stringify([row.track, row.lane, row.carClass]));
  const differences = [...byLane.values()].map((lane) => differenceOf(lane, () => 0));
  return combined(differences, drift);
}

/** Where no lane was driven with both: all together, with what is not known of the lanes. */
function acrossAllLanes(heats: readonly Measured[], drift: Drift): Difference | null {
  return combined([differenceOf(heats, ({ laneVariance }) => laneVariance)], drift);
}

interface LaneDifference extends Difference {
  /** How much later b was driven than a, in units of drift. */
  readonly later: number;
}

function differenceOf(heats: readonly Measured[], beyond: (heat: Measured) => number): LaneDifference | null {
  const meanOf = (setting: Setting) => {
    let weight = 0;
    let pace = 0;
    let time = 0;
    for (const heat of heats) {
      if (heat.setting !== setting) continue;
      const w = 1 / (heat.q + beyond(heat));
      weight += w;
      pace += w * heat.pace;
      time += w * driftAt(heat.row.startS);
    }
    return { weight, pace: pace / weight, time: time / weight };
  };
  const [a, b] = [meanOf('a'), meanOf('b')];
  if (a.weight === 0 || b.weight === 0) return null;
  return { effect: b.pace - a.pace, variance: 1 / a.weight + 1 / b.weight, later: b.time - a.time };
}

/** Mean weighted by precision. An error in the drift moves all lanes together, so it is added after. */
function combined(differences: readonly (LaneDifference | null)[], drift: Drift): Difference | null {
  let weight = 0;
  let effect = 0;
  let later = 0;
  for (const difference of differences) {
    if (difference === null) continue;
    weight += 1 / difference.variance;
    effect += difference.effect / difference.variance;
    later += difference.later / difference.variance;
  }
  if (weight === 0) return null;
  return { effect: effect / weight, variance: 1 / weight + ((later / weight) * drift.sd) ** 2 };
}
