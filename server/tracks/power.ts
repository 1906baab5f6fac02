/** Who or what cuts the track's power, and how long a car may still roll over the line after that. */

export const powerCuts = ['relay', 'hand', 'nobody', 'own'] as const;
/** `own`: roll times that belong to none of the usual cases. */
export type PowerCut = (typeof powerCuts)[number];

/** How long after power off a crossing may still count: in a track call, and at the end. */
export type RollTimes = { holdRollUs: number; endRollUs: number };

/**
 * Usual roll times. A relay cuts at the instant it is told to; a hand needs a moment to reach the switch in a track
 * call; where nobody cuts the power, drivers stop by themselves when called and the end counts to the line (common
 * practice, no source).
 */
export const usualRollTimes: Readonly<Record<Exclude<PowerCut, 'own'>, RollTimes>> = {
  relay: { holdRollUs: 2_000_000, endRollUs: 2_000_000 },
  hand: { holdRollUs: 5_000_000, endRollUs: 2_000_000 },
  nobody: { holdRollUs: 10_000_000, endRollUs: 0 },
};

/** The case that a track's roll times belong to. */
export function powerCutOf(times: RollTimes): PowerCut {
  for (const cut of ['relay', 'hand', 'nobody'] as const) {
    if (sameTimes(usualRollTimes[cut], times)) return cut;
  }
  return 'own';
}

/**
 * The roll times that somebody means who chose a case and typed times in one form: times that were changed count as
 * typed; untouched ones follow the case when another one was chosen.
 *
 * @param chosen the case ticked in the form
 * @param typed the times in the form's fields
 * @param shown the times the form began with; null when that is not known
 */
export function meantRollTimes(chosen: PowerCut, typed: RollTimes, shown: RollTimes | null): RollTimes {
  if (chosen === 'own' || shown === null || !sameTimes(typed, shown)) return typed;
  return powerCutOf(shown) === chosen ? typed : usualRollTimes[chosen];
}

function sameTimes(one: RollTimes, other: RollTimes): boolean {
  return one.holdRollUs === other.holdRollUs && one.endRollUs === other.endRollUs;
}
