/**
 * What one controller unit can do, as its owner typed it in: never a maker's list. Numbers are in the units of a profile
 * (permille, milliseconds, hertz); `null` means that the unit has no such setting.
 */
export interface UnitSheet {
  readonly minDrive: Steps | null;
  /** Null: the unit cannot limit its drive. Where only `minDrive` or `maxDrive` is null, a table curve takes its part. */
  readonly maxDrive: Steps | null;
  readonly releaseBand: Steps | null;
  readonly rampUpMs: Steps | null;
  /** Null: no brake. A brake that is always full is `min` = `max` = 1000. */
  readonly brakeFull: Steps | null;
  /** Null: no brake at part throttle. */
  readonly drag: { readonly strength: Steps; readonly zone: Steps; readonly closingOnly: boolean } | null;
  /** Switching frequencies there are to choose from, rising; null: one that nobody knows. */
  readonly pwmHz: { readonly list: readonly number[] } | null;
  /** At least one each, the first being what the unit does if left alone. */
  readonly decay: readonly ('slow' | 'fast')[];
  readonly rectify: readonly ('async' | 'sync')[];
  /** Null: a straight line. */
  readonly curve: UnitCurve | null;
}

/** Allowed are `min`, `min + step`, … up to `max`. */
export interface Steps {
  readonly min: number;
  readonly max: number;
  readonly step: number;
}

export type UnitCurve =
  /** One number, as the shape of a profile. */
  | ({ readonly kind: 'number' } & Steps)
  /** `n` entries at equal distances of trigger, each a multiple of `yStep` permille. */
  | { readonly kind: 'table'; readonly n: number; readonly yStep: number }
  /** Up to `max` points. */
  | { readonly kind: 'points'; readonly max: number }
  /** Every curve that a profile can hold, as it stands there. */
  | { readonly kind: 'any' };
