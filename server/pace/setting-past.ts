import { learningAt } from './club-columns.ts';
import { usualComponents } from './club-components.ts';
import type { HeatRow } from './heat-row.ts';
import { driftAt } from './night-drift.ts';
import type { Components, NightConditions, PaceFit } from './pace-fit.ts';
import { driverLaneSd, usualLaneSd, weightedVariance } from './setting-effect.ts';

/** What is known of a driver's heats of many nights beyond their laps. */
export interface DriverPast {
  readonly components: Components;
  /** Log effect of a lane and its standard deviation; null where it is not known. */
  readonly lane: (track: string, lane: number) => { readonly logEffect: number; readonly sd: number } | null;
  /** Log effect of a track. */
  readonly track: (track: string) => number;
  readonly night: (night: number, track: string) => Omit<NightConditions, 'night' | 'track'>;
  /** Nights the driver attended before one. */
  readonly nightsAttended: (night: number) => number;
  readonly learning: OwnLearning;
}

/** A driver's learning: how much slower at the first night, in log pace, and its variance. */
export interface OwnLearning {
  readonly mean: number;
  readonly variance: number;
  /** `none`: an adult. `takenOff`: as much as juniors of the club learn. `unknown`: nothing is known to take off. */
  readonly is: 'none' | 'takenOff' | 'unknown';
}

/** A night that the fit does not know, as it is seen otherwise; null: as little as of any night. */
export type SeenNight = (night: number, track: string) => { readonly gain: number; readonly sd: number } | null;

/**
 * What a fit knows of a driver's past.
 *
 * @param fit null before there is one: everything is then as uncertain as in most clubs
 * @param attended nights with laps of the driver, rising
 */
export function pastOf(
  fit: PaceFit | null,
  driver: string,
  attended: readonly number[],
  seen: SeenNight = () => null,
): DriverPast {
  const components = fit?.components ?? usualComponents;
  const lanes = new Map(fit?.lanes.map((one) => [placeKey(one.track, one.lane), one]));
  const tracks = new Map(fit?.tracks.map(({ track, logEffect }) => [track, logEffect]));
  const nights = new Map(fit?.past?.nights.map((one) => [placeKey(one.track, one.night), one]));
  const own = fit?.drivers.find((one) => one.driver === driver);
  const before = (night: number) => attended.filter((one) => one < night).length;
  const nightsUnseen = own ? own.nights - before((fit?.lastNight ?? 0) + 1) : 0;
  return {
    components,
    lane: (track, lane) => lanes.get(placeKey(track, lane)) ?? null,
    track: (track) => tracks.get(track) ?? 0,
    night: (night, track) => nights.get(placeKey(track, night)) ?? unknownNight(fit, components, seen(night, track)),
    nightsAttended: (night) => Math.max(0, nightsUnseen) + before(night),
    learning: learningOf(fit, own?.group ?? null),
  };
}

const placeKey = (track: string, number: number) => `${number} ${track}`;

function unknownNight(fit: PaceFit | null, { s, g }: Components, seen: ReturnType<SeenNight>) {
  const gain = seen?.gain ?? fit?.drift ?? 0;
  return { grip: 0, gain, covariance: [s ** 2, 0, (seen?.sd ?? g) ** 2] } as const;
}

/** Of somebody whose group nobody named: as likely a junior as the others of the club. */
export function learningOf(fit: PaceFit | null, group: 'junior' | 'adult' | null): OwnLearning {
  if (group === 'adult') return { mean: 0, variance: 0, is: 'none' };
  const known = fit?.past?.learning;
  if (!known) return { mean: 0, variance: 0, is: 'unknown' };
  const told = fit.drivers.filter((one) => one.group !== null);
  const juniors = told.filter((one) => one.group === 'junior').length;
  const share = group === 'junior' ? 1 : (juniors + 0.5) / (told.length + 1);
  const spread = known.sd ** 2 + fit.components.de ** 2;
  return {
    mean: share * known.mean,
    variance: share * spread + share * (1 - share) * known.mean ** 2,
    is: group === 'junior' ? 'takenOff' : 'unknown',
  };
}

/** Log pace of a heat with track, lane, grip, drift and mean learning taken off. */
export function ownPace(row: HeatRow, past: DriverPast): number {
  const { grip, gain } = past.night(row.night, row.track);
  const lane = past.lane(row.track, row.lane)?.logEffect ?? 0;
  const learnt = past.learning.mean * learningAt(past.nightsAttended(row.night));
  return row.y - past.track(row.track) - lane - grip + gain * driftAt(row.startS) - learnt;
}

/** Variance of a heat's own pace as one of several: of the heat and of its laps. */
export const heatVariance = ({ tau }: Components, v: number): number => Math.max(1e-8, tau ** 2 + v) / weightedVariance;

/**
 * Covariance of `ownPace` of two heats, by their places in a list: heats share a lane, a night's form and grip, the walk of
 * ability up to the earlier one, and what is not known of the driver's learning. What is the same in all is left out.
 */
export function ownCovariance(rows: readonly HeatRow[], past: DriverPast): (i: number, j: number) => number {
  const { components, learning } = past;
  const { r, q } = components;
  const parts = rows.map((row) => {
    const attended = past.nightsAttended(row.night);
    const lane = (past.lane(row.track, row.lane)?.sd ?? usualLaneSd) ** 2 + driverLaneSd ** 2;
    const { covariance } = past.night(row.night, row.track);
    return { row, attended, toLearn: learningAt(attended), drift: driftAt(row.startS), lane, covariance };
  });
  return (i, j) => {
    const [one, other] = [parts[i], parts[j]] as [(typeof parts)[number], (typeof parts)[number]];
    const [a, b] = [one.row, other.row];
    let sum = q ** 2 * Math.min(one.attended, other.attended) + learning.variance * one.toLearn * other.toLearn;
    if (i === j) sum += heatVariance(components, a.v);
    if (a.track !== b.track) return a.night === b.night ? sum + r ** 2 : sum;
    if (a.lane === b.lane) sum += one.lane;
    if (a.night !== b.night) return sum;
    const [ofGrip, both, ofGain] = one.covariance;
    return sum + r ** 2 + ofGrip - both * (one.drift + other.drift) + ofGain * one.drift * other.drift;
  };
}
