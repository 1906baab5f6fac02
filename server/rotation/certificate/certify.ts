import { type Certificate, type Driver, drawRequest, type Preset, type Seat } from '../rotation.ts';
import { measureRotation } from './measure.ts';

/**
 * What decided about the heats: a preset, a published table (`table`), announced heats that had to stay (`kept heats`)
 * or people (`by hand`). It gives figures above their bound their verdict.
 */
export type Purpose = Preset | 'table' | 'kept heats' | 'by hand';

/** A night to certify. */
export interface Night {
  /** Everybody who ran or will run. Others who are seated in `done` are taken for drivers who left. */
  readonly drivers: readonly Driver[];
  /** Lanes of the track. */
  readonly lanes: number;
  /** Lane numbers not used in `heats`. */
  readonly lanesOut?: readonly number[];
  /** Heats that were run, oldest first; seats by lane of the track. */
  readonly done?: readonly (readonly Seat[])[];
  /** Heats to come, in order; seats by lane of the track. */
  readonly heats: readonly (readonly Seat[])[];
  /** Who marshals each of `heats`. */
  readonly marshals: readonly (readonly Driver[])[];
  /** Marshals wanted in each heat. */
  readonly wanted: number;
  /** Drivers who never stand marshal. */
  readonly exempt?: readonly Driver[];
  /** Drivers who race no more. */
  readonly leave?: readonly Driver[];
  /** Drivers who came after `done`: they did not wait before. */
  readonly late?: readonly Driver[];
  /** Most cars that one heat may hold; null: as many as there are lanes in use. */
  readonly carsPerHeat?: number | null;
  readonly purpose: Purpose;
}

/**
 * Measures a night from its heats alone, however they came about, and sets each figure beside a bound that no rotation
 * with the same drivers, runs and number of heats can beat. "Proved best" is said only of a figure that equals its
 * bound.
 *
 * @throws RangeError when a heat to come seats somebody who is not among the drivers
 */
export function certify(night: Night): Certificate {
  const { drivers, lanes, lanesOut = [], heats, marshals, wanted, exempt = [], carsPerHeat = null } = night;
  const request = drawRequest({ drivers, lanes, lanesOut, marshals: wanted, exempt, carsPerHeat });
  return measureRotation(request, heats, marshals, { verdict: 'compromise', why: 'by hand' });
}
