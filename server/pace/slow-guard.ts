import { mean } from './numeric/moments.ts';
import { meanOfLowest } from './numeric/order-statistics.ts';
import type { ClassPace, Components } from './pace-fit.ts';

/** How much slower than shown before a driver may be for a handicap; logs, so 0.004 is 0.4 %. */
export interface SlowGuardOptions {
  /** Off: handicaps go by the pace as it is. */
  readonly on: boolean;
  /** How much slower than the best heats suggest. */
  readonly margin: number;
  /** Up to this much slower than the low mark counts in full, beyond it half. */
  readonly soft: number;
  /** Slower than the low mark by no more than this. */
  readonly hard: number;
}

export const usualSlowGuard: SlowGuardOptions = { on: true, margin: 0.004, soft: 0.006, hard: 0.012 };

/** Pace a driver showed in one heat, what lane, class and the night's grip did taken off. */
export interface ShownHeat {
  readonly logPace: number;
  /** Sampling variance. */
  readonly v: number;
}

/** Level of a driver on one night attended, as the nights up to it show it: later slowness leaves it as it is. */
export interface ShownNight {
  readonly logPace: number;
  /** Nights attended before this one, all of them. */
  readonly nightsBehind: number;
  /** Day of the night, counted from any day; null where nobody knows. */
  readonly day: number | null;
}

export interface ShownPace {
  /** Pace expected tonight (posterior mean). */
  readonly logPace: number;
  /** Heats, oldest first. */
  readonly heats: readonly ShownHeat[];
  /** Nights attended, oldest first. */
  readonly nights: readonly ShownNight[];
  /** Variance of a heat beyond its laps, of the whole club: heat effect and form. A driver's own could be faked. */
  readonly heatVariance: number;
  /** Day of tonight, on the same count; null where nobody knows. */
  readonly today: number | null;
}

export interface GuardedPace {
  /** Pace for handicaps; never slower than `shown.logPace`. */
  readonly logPace: number;
  /** What it goes by. */
  readonly by: 'pace' | 'bestHeats' | 'lowMark';
  /** Limit from the best heats; null with too few heats. */
  readonly fromBestHeats: number | null;
  /** Limit from the low mark; null with too few nights. */
  readonly fromLowMark: number | null;
}

const heatsLookedAt = 20;
const leastHeats = 6;
const bestShare = 0.4;
const nightsLookedAt = 12;
const nightsBehindMark = 3;
/** After so long without a lap a driver may truly have slowed: the marks of before fade over a few nights. */
const longBreakDays = 56;
const fadingNights = 4;

/**
 * Pace for handicaps, so that slowness on purpose earns little: not slower than what the best heats suggest, nor than the
 * low mark by more than a capped rise. The ideas, though not the numbers, are those of golf's World Handicap System (rules
 * 5.2 and 5.8: best 8 of 20 scores, soft and hard cap over the low index).
 */
export function guardedPace(shown: ShownPace, options: SlowGuardOptions = usualSlowGuard): GuardedPace {
  const { logPace } = shown;
  if (!options.on) return { logPace, by: 'pace', fromBestHeats: null, fromLowMark: null };
  const fromBestHeats = bestHeats(shown, options.margin);
  const low = lowMark(shown);
  const fromLowMark = low === null ? null : cappedRise(low, logPace, options);
  let best: Pick<GuardedPace, 'logPace' | 'by'> = { logPace, by: 'pace' };
  if (fromBestHeats !== null && fromBestHeats < best.logPace) best = { logPace: fromBestHeats, by: 'bestHeats' };
  if (fromLowMark !== null && fromLowMark < best.logPace) best = { logPace: fromLowMark, by: 'lowMark' };
  return { ...best, fromBestHeats, fromLowMark };
}

/**
 * What a fit says of a driver in a class, as `guardedPace` takes it.
 *
 * @param dayOf day of a night of the fit; null where nobody knows
 */
export function shownPace(
  { logPace, latestHeats, latestNights }: ClassPace,
  { tau, r }: Components,
  dayOf: (night: number) => number | null = () => null,
  today: number | null = null,
): ShownPace {
  const nights = latestNights.map(({ night, shownLogPace, nightsBehind }) => ({
    logPace: shownLogPace,
    nightsBehind,
    day: dayOf(night),
  }));
  return { logPace, heats: latestHeats, nights, heatVariance: tau ** 2 + r ** 2, today };
}

/**
 * A value that may rise over its low mark by `soft` in full, beyond that by half, and never by more than `hard`; falling is
 * free.
 */
export function cappedRise(low: number, value: number, caps: { readonly soft: number; readonly hard: number }): number {
  const rise = value - low;
  if (rise <= caps.soft) return value;
  return low + Math.min(caps.hard, caps.soft + (rise - caps.soft) / 2);
}

/** Expected mean of the lowest `k` of `n` draws of a normal distribution, in standard deviations below its mean. */
export function bestOfConstant(n: number, k: number): number {
  const key = `${k} of ${n}`;
  let constant = constants.get(key);
  if (constant === undefined) {
    constant = -meanOfLowest(n, k);
    constants.set(key, constant);
  }
  return constant;
}

const constants = new Map<string, number>();

function bestHeats({ heats, heatVariance }: ShownPace, margin: number): number | null {
  const sound = heats.filter(({ logPace, v }) => Number.isFinite(logPace) && v >= 0 && Number.isFinite(v));
  const late = sound.slice(-heatsLookedAt);
  const n = late.length;
  if (n < leastHeats) return null;
  const k = Math.round(bestShare * n);
  const lowest = late
    .map(({ logPace }) => logPace)
    .sort((a, b) => a - b)
    .slice(0, k);
  const variance = Math.max(0, heatVariance) + mean(late.map(({ v }) => v));
  return mean(lowest) + bestOfConstant(n, k) * Math.sqrt(variance) + margin;
}

/** The lowest level of the last nights that enough nights stood behind; marks from before a long break fade. */
function lowMark({ nights, logPace, today }: ShownPace): number | null {
  const late = nights.filter((night) => Number.isFinite(night.logPace)).slice(-nightsLookedAt);
  const since = nightsSinceBreak(late, today);
  let low: number | null = null;
  late.forEach((night, i) => {
    if (night.nightsBehind < nightsBehindMark) return;
    const isBefore = since !== null && i < late.length - since;
    const faded = isBefore ? Math.min(1, (since + 1) / fadingNights) : 0;
    const mark = night.logPace + faded * Math.max(0, logPace - night.logPace);
    if (low === null || mark < low) low = mark;
  });
  return low;
}

/** Nights attended since the latest long break; null without one. */
function nightsSinceBreak(nights: readonly ShownNight[], today: number | null): number | null {
  const days = [...nights.map(({ day }) => day), today];
  for (let i = days.length - 1; i > 0; i--) {
    const [before, after] = [days[i - 1], days[i]];
    if (typeof before !== 'number' || typeof after !== 'number') continue;
    if (after - before >= longBreakDays) return nights.length - i;
  }
  return null;
}
