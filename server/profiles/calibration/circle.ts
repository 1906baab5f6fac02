/** Readings of an angle: they start again at 0 after `period`, as a magnetic sensor's counts do after a turn. */

/** Moves a difference of two readings by whole turns into [-period/2, period/2). */
export function wrap(difference: number, period: number): number {
  const positive = modulo(difference, period);
  return positive >= period / 2 ? positive - period : positive;
}

/** Moves a reading by whole turns into [0, period). */
export function modulo(reading: number, period: number): number {
  const rest = reading % period;
  return rest < 0 ? rest + period : rest + 0;
}

/** Readings as one steady movement: each step between neighbours is the short way round. */
export function unwrap(readings: ArrayLike<number>, period: number): Float64Array {
  const steady = new Float64Array(readings.length);
  if (readings.length > 0) steady[0] = readings[0] as number;
  for (let k = 1; k < readings.length; k++) {
    const step = wrap((readings[k] as number) - (readings[k - 1] as number), period);
    steady[k] = (steady[k - 1] as number) + step;
  }
  return steady;
}

/** From the nearest: of two candidates that are as good, the first one here is taken. */
const window = [0, -1, 1, -2, 2] as const;

/**
 * Takes out single wrong readings: each becomes the medoid of the five around it (cut at the ends), the one with the least
 * sum of distances round the circle to the others. A median of differences would fail for a spike near half a turn.
 */
export function withoutSpikes(readings: ArrayLike<number>, period: number): Float64Array {
  const smooth = new Float64Array(readings.length);
  const inWindow = new Float64Array(window.length);
  for (let k = 0; k < readings.length; k++) {
    let size = 0;
    for (const offset of window) {
      const at = k + offset;
      if (at >= 0 && at < readings.length) inWindow[size++] = readings[at] as number;
    }
    let least = Number.POSITIVE_INFINITY;
    for (let i = 0; i < size; i++) {
      let sum = 0;
      for (let j = 0; j < size; j++) {
        const apart = Math.abs((inWindow[i] as number) - (inWindow[j] as number));
        sum += Math.min(apart, period - apart);
      }
      if (sum < least) {
        least = sum;
        smooth[k] = inWindow[i] as number;
      }
    }
  }
  return smooth;
}
