import { crashFlag, type LapTable } from './lap-table.ts';

export interface EmOptions {
  /** Standard deviation of the log of a clean lap; above 0. */
  readonly lapSd: number;
  /** Log pace expected of this driver in this heat, or null. */
  readonly expected: number | null;
}

/** The laps of one driver in one heat, clean ones told from crashes. */
export interface HeatFit {
  /** Mean log of clean laps; 0 where there is none. */
  readonly logPace: number;
  /** Sum of the chances that a lap was clean. */
  readonly cleanLaps: number;
  /** Whether nothing in the heat is near what the driver was expected to drive: then it says nothing of pace. */
  readonly dropped: boolean;
  readonly crashes: number;
  /** Laps that could show a crash. */
  readonly laps: number;
  readonly lossesS: readonly number[];
  /** Sums over clean laps of residuals squared, and of products and squares of neighbours. */
  readonly squares: number;
  readonly lagProducts: number;
  readonly lagSquares: number;
}

/** Room for one heat, used again for the next. */
export interface Scratch {
  sorted: Float64Array;
  weight: Float64Array;
  role: Uint8Array;
}

export const newScratch = (): Scratch => ({
  sorted: new Float64Array(64),
  weight: new Float64Array(64),
  role: new Uint8Array(64),
});

/** A crash makes a lap slower by a log factor in this range: from 12 % to eleven times. */
const leastCrash = 0.12;
const mostCrash = 2.4;
const crashDensity = 1 / (mostCrash - leastCrash);
/**
 * A car that left its slot costs more seconds than this until somebody has put it back. A lap that lost less, and that
 * nobody flagged, was slow: it shows neither pace nor a crash. (Flagged crashes in seasons with truth begin at two seconds.)
 */
const leastCrashS = 1.5;
/** Chance that a flagged lap is a crash before its time is seen. */
const flaggedPrior = 0.97;
const largestUnflaggedPrior = 0.3;
/** About half of all crashes are flagged. */
const unflaggedShare = 0.5;
/** The share of crashes in a heat starts from this many crashes in so many laps. */
const priorCrashes = 0.6;
const priorLaps = 12;
const rounds = 8;
const converged = 1e-7;
const startQuantile = 0.35;
const startWindow = 0.08;
/** A lap this near to what was expected shows that the driver drove it. */
const nearExpected = 0.07;
const farFromExpected = 0.12;
/** An unflagged lap of about twice the pace is more often a crossing nobody counted than a crash. */
const missedFrom = Math.log(1.94);
const missedTo = Math.log(2.06);

/** What a lap is taken for in a round. */
const ordinary = 0;
const missedCount = 1;
/** Too slow for a clean lap, too quick for a crash. */
const slow = 2;
/** Too short or too long for anything: two triggers of one passing, a pause. */
const ignored = 3;
/** What a lap counts for as a crash, by its role, where its time does not look clean. */
const countsAsCrash = [1, 0.35, 0, 0] as const;

/**
 * Fits clean laps, normal in the log around the pace of the heat, and crash laps, slower by a uniform log factor, by
 * expectation-maximization (Dempster, Laird and Rubin, J. R. Stat. Soc. B 39, 1977, 1-38).
 *
 * @param from index of the heat's first lap in `table`, `to` one after its last
 */
export function fitHeat(table: LapTable, from: number, to: number, options: EmOptions, scratch: Scratch): HeatFit {
  if (to <= from) return nothing;
  makeRoom(scratch, to - from);
  const own = ownStart(table, from, to, options.lapSd, scratch);
  const { expected } = options;
  const near = expected === null ? null : medianNear(scratch.sorted, to - from, expected, nearExpected);
  if (near !== null) {
    const start = medianNear(scratch.sorted, to - from, near, Math.max(startWindow, 3 * options.lapSd)) ?? near;
    const fit = fitFrom(table, from, to, start, options.lapSd, scratch);
    // Where most laps would have to be double triggers the expectation was wrong, not the timing.
    if (fit.laps > (to - from) / 2) return fit;
  }
  const off = expected === null || near !== null ? 0 : Math.abs(own - expected);
  if (off <= farFromExpected) return fitFrom(table, from, to, own, options.lapSd, scratch);
  return { ...fitFixed(table, from, to, expected as number, options.lapSd, scratch), dropped: true };
}

const nothing: HeatFit = {
  logPace: 0,
  cleanLaps: 0,
  dropped: true,
  crashes: 0,
  laps: 0,
  lossesS: [],
  squares: 0,
  lagProducts: 0,
  lagSquares: 0,
};

function makeRoom(scratch: Scratch, count: number) {
  if (scratch.weight.length >= count) return;
  scratch.sorted = new Float64Array(2 * count);
  scratch.weight = new Float64Array(2 * count);
  scratch.role = new Uint8Array(2 * count);
}

/** A start in the thick of the laps; leaves all laps sorted in `scratch.sorted`. */
function ownStart(table: LapTable, from: number, to: number, lapSd: number, scratch: Scratch) {
  const { sorted } = scratch;
  let unflagged = 0;
  for (let i = from; i < to; i++) {
    if (table.flag[i] !== crashFlag) sorted[unflagged++] = table.logS[i] as number;
  }
  let quantile: number | null = null;
  if (unflagged > 0) {
    sorted.subarray(0, unflagged).sort();
    quantile = sorted[Math.round(startQuantile * (unflagged - 1))] as number;
  }
  const count = to - from;
  if (unflagged < count) {
    sorted.set(table.logS.subarray(from, to));
    sorted.subarray(0, count).sort();
  }
  quantile ??= sorted[Math.round(startQuantile * (count - 1))] as number;
  return medianNear(sorted, count, quantile, Math.max(startWindow, 3 * lapSd)) ?? quantile;
}

/** Median of the sorted numbers that lie within `reach` of `middle`; null where none does. */
function medianNear(sorted: Float64Array, count: number, middle: number, reach: number): number | null {
  let low = 0;
  while (low < count && (sorted[low] as number) < middle - reach) low++;
  let high = low;
  while (high < count && (sorted[high] as number) <= middle + reach) high++;
  if (high === low) return null;
  return ((sorted[(low + high - 1) >> 1] as number) + (sorted[(low + high) >> 1] as number)) / 2;
}

function fitFrom(table: LapTable, from: number, to: number, start: number, lapSd: number, scratch: Scratch) {
  let logPace = start;
  let crashShare = priorCrashes / priorLaps;
  for (let round = 0; round < rounds; round++) {
    const sums = weigh(table, from, to, logPace, crashShare, lapSd, scratch);
    if (sums.clean <= 0) break;
    const moved = sums.cleanLogS / sums.clean - logPace;
    logPace += moved;
    crashShare = (sums.crashes + priorCrashes) / (sums.laps + priorLaps);
    if (Math.abs(moved) < converged && round > 0) break;
  }
  return summed(table, from, to, logPace, crashShare, lapSd, scratch);
}

/** Crashes as seen from a pace that is not in question. */
function fitFixed(table: LapTable, from: number, to: number, logPace: number, lapSd: number, scratch: Scratch) {
  let crashShare = priorCrashes / priorLaps;
  for (let round = 0; round < 3; round++) {
    const sums = weigh(table, from, to, logPace, crashShare, lapSd, scratch);
    crashShare = (sums.crashes + priorCrashes) / (sums.laps + priorLaps);
  }
  return summed(table, from, to, logPace, crashShare, lapSd, scratch);
}

/** Chance of each lap to be clean, by Bayes, into `scratch`; and their sums. */
function weigh(
  table: LapTable,
  from: number,
  to: number,
  logPace: number,
  crashShare: number,
  lapSd: number,
  scratch: Scratch,
) {
  const { weight, role } = scratch;
  const unflaggedPrior = Math.min(largestUnflaggedPrior, unflaggedShare * crashShare);
  const shortest = -5 * lapSd - 0.05;
  const slowest = Math.log1p(leastCrashS / Math.exp(logPace));
  const height = 1 / (lapSd * Math.sqrt(2 * Math.PI));
  let clean = 0;
  let cleanLogS = 0;
  let crashes = 0;
  let laps = 0;
  for (let i = from, k = 0; i < to; i++, k++) {
    const logS = table.logS[i] as number;
    const off = logS - logPace;
    const flagged = table.flag[i] === crashFlag;
    let w = 1;
    let r: number = ordinary;
    if (off < shortest || (off > mostCrash && !flagged)) {
      w = 0;
      r = ignored;
    } else if (off > leastCrash) {
      const prior = flagged ? flaggedPrior : unflaggedPrior;
      const asClean = (1 - prior) * height * Math.exp(-0.5 * (off / lapSd) ** 2);
      w = asClean / (asClean + prior * crashDensity);
      if (!flagged) r = off < slowest ? slow : off > missedFrom && off < missedTo ? missedCount : ordinary;
    }
    weight[k] = w;
    role[k] = r;
    clean += w;
    cleanLogS += w * logS;
    if (r === ignored) continue;
    laps++;
    crashes += (1 - w) * (countsAsCrash[r] as number);
  }
  return { clean, cleanLogS, crashes, laps };
}

function summed(
  table: LapTable,
  from: number,
  to: number,
  logPace: number,
  crashShare: number,
  lapSd: number,
  scratch: Scratch,
): HeatFit {
  const { clean, crashes, laps } = weigh(table, from, to, logPace, crashShare, lapSd, scratch);
  const { weight, role } = scratch;
  const paceS = Math.exp(logPace);
  const lossesS: number[] = [];
  let squares = 0;
  let lagProducts = 0;
  let lagSquares = 0;
  for (let i = from, k = 0; i < to; i++, k++) {
    const w = weight[k] as number;
    const residual = (table.logS[i] as number) - logPace;
    if (w < 0.5 && role[k] === ordinary && residual <= mostCrash)
      lossesS.push(Math.exp(table.logS[i] as number) - paceS);
    squares += w * residual * residual;
    if (k === 0 || table.lap[i] !== (table.lap[i - 1] as number) + 1) continue;
    const both = w * (weight[k - 1] as number);
    const before = (table.logS[i - 1] as number) - logPace;
    lagProducts += both * residual * before;
    lagSquares += (both * (residual * residual + before * before)) / 2;
  }
  return { logPace, cleanLaps: clean, dropped: false, crashes, laps, lossesS, squares, lagProducts, lagSquares };
}
