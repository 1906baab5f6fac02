import { median, quantileOfSorted } from '../../pace/numeric/moments.ts';
import { modulo, unwrap, withoutSpikes, wrap } from './circle.ts';
import { type CalibrationCode, type Verdict, verdictOn } from './verdict.ts';

/** Readings of a trigger's sensor: hands off, three slow full strokes that hold the pressed end, hands off. */
export interface TriggerReadings {
  /** Width of the sensor's count: it shows 0 to 2^bits - 1 in a turn. */
  readonly bits: number;
  /** So many readings at the beginning are of a trigger that nobody touches. */
  readonly restSamples: number;
  /** 100 to 1000 of them a second. */
  readonly counts: ArrayLike<number>;
}

/** Where a trigger's ends are, in counts of its sensor. */
export interface TriggerEnds {
  readonly bits: number;
  /** Whole counts within the turn. */
  readonly released: number;
  readonly pressed: number;
  /** 1 where pressing makes the count rise, -1 where it makes it fall. */
  readonly direction: 1 | -1;
  /** From end to end. */
  readonly travel: number;
  /** Standard deviation of one reading, at least that of rounding. */
  readonly noise: number;
  /** Movement at either end that counts for nothing. */
  readonly deadBand: number;
}

export interface Calibration {
  readonly verdict: Verdict;
  /** Everything that was found, in the order in which it was looked for. */
  readonly codes: readonly CalibrationCode[];
  /** Those of the codes that did not decide the verdict. */
  readonly warnings: readonly CalibrationCode[];
  /** Null for readings from which nothing can be said. */
  readonly ends: TriggerEnds | null;
  /** The magnet turned by this much, in the sensor's positive sense, puts the travel where it is farthest from the wrap. */
  readonly adviceDegrees: number | null;
}

/** Widths of count that magnetic angle sensors usually have (from memory). */
export const sensorBits = [12, 14] as const;
export const fewestCounts = 200;
/** Three strokes take half a minute at most: more readings are of something else. */
export const mostCounts = 60_000;
export const fewestRestSamples = 30;

/**
 * Finds the ends of a trigger's travel and says whether the readings can be trusted. Limits are design choices, common
 * practice, no source; quantiles are those of type 7 (R. J. Hyndman, Y. Fan 1996).
 */
export function calibrate({ bits, restSamples, counts }: TriggerReadings): Calibration {
  const turn = 2 ** bits;
  const unusable = unusableCodes(counts, restSamples, turn);
  if (unusable.length > 0) return { ...verdictOn(unusable), codes: unusable, ends: null, adviceDegrees: null };

  const u = unwrap(withoutSpikes(counts, turn), turn);
  const rest = u.subarray(0, restSamples);
  const released = median(rest);
  const noise = noiseOf(counts, restSamples, turn);
  const { pressed, direction, other } = pressedEnd(u, released, noise);
  const travel = Math.abs(pressed - released);
  const deadBand = Math.ceil(Math.max(6 * noise, 0.01 * travel));

  const codes: CalibrationCode[] = [];
  const note = (code: CalibrationCode, isFound: boolean) => {
    if (isFound) codes.push(code);
  };
  note('AT_RAIL', isAtRail(counts, turn));
  note('MOVED_TOO_FAST', greatestStep(u) > turn / 4);
  const half = restSamples >> 1;
  const restMoved = Math.abs(median(rest.subarray(0, half)) - median(rest.subarray(half)));
  note('REST_MOVED', restMoved > 4 * noise + 2);
  if (travel < Math.max(turn / 36, 40 * noise)) codes.push('TRAVEL_TOO_SMALL');
  else {
    note('REST_NOT_AT_END', Math.abs(other) > Math.max(8 * noise, 0.05 * travel));
    const turnOf = (place: number) => Math.floor(Math.round(place) / turn);
    const [least, most] = extremes(u);
    const wrapped = turnOf(least) !== turnOf(most);
    note('WRAPPED', wrapped);
    const margin = Math.max(0.03 * travel, 6 * noise, 4);
    const [low, high] = [Math.min(released, pressed) - margin, Math.max(released, pressed) + margin];
    note('NEAR_WRAP', !wrapped && turnOf(low) !== turnOf(high));
    note('HOLD_LONGER', near(u, pressed, 3 * noise + 0.01 * travel).length < 0.05 * u.length);
    const returned = median(u.subarray(-Math.min(30, restSamples)));
    note('RETURN_ERROR', Math.abs(returned - released) > Math.max(8 * noise, 0.02 * travel));
    note('LOW_RESOLUTION', travel / noise < 100);
  }

  return {
    ...verdictOn(codes),
    codes,
    ends: {
      bits,
      released: modulo(Math.round(released), turn),
      pressed: modulo(Math.round(pressed), turn),
      direction,
      travel,
      noise,
      deadBand,
    },
    adviceDegrees: (wrap(turn / 2 - (released + pressed) / 2, turn) * 360) / turn,
  };
}

function unusableCodes(counts: ArrayLike<number>, restSamples: number, turn: number): CalibrationCode[] {
  const codes: CalibrationCode[] = [];
  const n = counts.length;
  if (n < fewestCounts || restSamples < fewestRestSamples || restSamples > n / 2) codes.push('TOO_FEW');
  for (let k = 0; k < n; k++) {
    const count = counts[k] as number;
    if (!Number.isInteger(count) || count < 0 || count >= turn) return [...codes, 'BAD_COUNT'];
  }
  return codes;
}

/** A stuck output and a rest exactly on the wrap look the same; both need the magnet re-seated. */
const stuckRun = 20;

function isAtRail(counts: ArrayLike<number>, turn: number): boolean {
  let run = 0;
  for (let k = 0; k < counts.length; k++) {
    const count = counts[k] as number;
    const isRail = count === 0 || count === turn - 1;
    run = !isRail ? 0 : count === counts[k - 1] ? run + 1 : 1;
    if (run >= stuckRun) return true;
  }
  return false;
}

/** Standard deviation of a reading that is right but rounded to a whole count: 1 / sqrt(12). */
const roundingNoise = 0.2887;
/** Standard deviation over median absolute deviation, of a normal distribution. */
const deviationOverMad = 1.4826;

/** Noise of one reading, from the differences of neighbours at rest: a slow drift is no noise. */
function noiseOf(counts: ArrayLike<number>, restSamples: number, turn: number): number {
  const differences = new Float64Array(restSamples - 1);
  for (let k = 1; k < restSamples; k++) {
    differences[k - 1] = wrap((counts[k] as number) - (counts[k - 1] as number), turn);
  }
  const middle = median(differences);
  const mad = median(differences.map((difference) => Math.abs(difference - middle)));
  return Math.max(roundingNoise, (deviationOverMad * mad) / Math.SQRT2);
}

/** @returns `other`: how far the trigger went past rest the other way */
function pressedEnd(
  u: Float64Array,
  released: number,
  noise: number,
): { pressed: number; direction: 1 | -1; other: number } {
  const sorted = u.slice().sort();
  const high = quantileOfSorted(sorted, 0.98) - released;
  const low = quantileOfSorted(sorted, 0.02) - released;
  const rises = Math.abs(high) >= Math.abs(low);
  const far = rises ? high : low;
  const held = near(u, released + far, 4 * noise + 0.01 * Math.abs(far));
  return {
    pressed: held.length > 0 ? median(held) : released + far,
    direction: rises ? 1 : -1,
    other: rises ? low : high,
  };
}

const near = (u: Float64Array, place: number, within: number) => u.filter((value) => Math.abs(value - place) <= within);

function greatestStep(u: Float64Array): number {
  let greatest = 0;
  for (let k = 1; k < u.length; k++) {
    greatest = Math.max(greatest, Math.abs((u[k] as number) - (u[k - 1] as number)));
  }
  return greatest;
}

function extremes(u: Float64Array): [number, number] {
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const value of u) {
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return [least, most];
}
