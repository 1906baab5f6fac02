import type { BenchInputs, InputName } from './inputs.ts';

/** `unknown`: something is missing, and nothing speaks against it so far. */
export type State = 'ok' | 'warning' | 'stop' | 'unknown';

/** Why a state is not `ok`; the texts have a sentence for each. */
export type Reason =
  | 'dropLarge'
  | 'tooHot'
  | 'maybeHot'
  | 'fuseAboveWire'
  | 'fuseMaybeAboveWire'
  | 'fuseAboveDriver'
  | 'fuseBelowCurrent'
  | 'fuseNeverBlows'
  | 'stallAboveDriver'
  | 'stallNearDriver'
  | 'stallAboveSupply'
  | 'lanesAboveSupply'
  | 'voltageAboveRating'
  | 'voltageNearRating'
  | 'rippleAboveRating'
  | 'rippleNearRating'
  | 'droopLarge'
  | 'hotterThanRated'
  | 'nearlyRatedHeat'
  | 'pumpsUp'
  | 'pumpsAboveRating';

export interface Finding {
  readonly reason: Reason;
  readonly state: 'warning' | 'stop';
}

/** What a check found out. Figures have their units in their names. */
export interface Found {
  readonly figures: Readonly<Record<string, number>>;
  readonly findings: readonly Finding[];
}

export interface Check {
  readonly name: string;
  /** Everything that has to be known. `wire` is the gauge or the copper. */
  readonly needs: readonly (InputName | 'wire')[];
  /** Called only with everything that is needed. */
  readonly work: (inputs: Known) => Found;
  /** What speaks against it even while something is missing. */
  readonly already?: (inputs: BenchInputs) => readonly Finding[];
}

/** Inputs that a check has asked for; reading another one would be a mistake of the check. */
export type Known = { readonly [K in InputName]: NonNullable<BenchInputs[K]> };

export const warning = (when: boolean, reason: Reason): Finding[] => (when ? [{ reason, state: 'warning' }] : []);
export const stop = (when: boolean, reason: Reason): Finding[] => (when ? [{ reason, state: 'stop' }] : []);
