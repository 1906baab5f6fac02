import { type HeatLength, lapsIn, type StarterDraws, timesFor } from './score-draws.ts';

/** What evens the chances: a start delay, or laps (in a heat over laps: time) credited to the score. */
export type HandicapMode = 'delay' | 'credit';

/**
 * Integers that the outside sees. Delays are milliseconds; credits are hundredths of a lap in heats over a time and
 * milliseconds in heats over laps, as an `adjust` ruling has them.
 */
export const unitsIn = (length: HeatLength, mode: HandicapMode) =>
  mode === 'credit' && length.kind === 'time' ? 100 : 1000;

/** How a score answers to an amount of handicap: more value is better. */
export interface Answer {
  /** Laps, or seconds with a minus, by run. */
  readonly value: Float64Array;
  /** Change of `value` with the amount, by run. */
  readonly slope: Float64Array;
}

export const answerOf = (runs: StarterDraws): Answer => ({
  value: new Float64Array(runs.count),
  slope: new Float64Array(runs.count),
});

/**
 * What runs are worth with a handicap.
 *
 * @param amount seconds of delay or credit, or laps of credit; may be 0
 */
export function fillAnswer(
  runs: StarterDraws,
  length: HeatLength,
  mode: HandicapMode,
  amount: number,
  { value, slope }: Answer,
): void {
  if (length.kind === 'time') {
    const durationS = length.durationMs / 1000;
    lapsIn(runs, mode === 'delay' ? durationS - amount : durationS, value, slope);
    for (let s = 0; s < runs.count; s += 1) {
      if (mode === 'delay') slope[s] = -(slope[s] as number);
      else value[s] = (value[s] as number) + amount;
    }
    if (mode === 'credit') slope.fill(1);
    return;
  }
  timesFor(runs, length.laps, value);
  const sign = mode === 'delay' ? -1 : 1;
  for (let s = 0; s < runs.count; s += 1) value[s] = sign * amount - (value[s] as number);
  slope.fill(sign);
}
