/**
 * What one controller unit can do, as its owner typed it in: never a maker's list. Numbers are in the units of a profile
 * (permille, milliseconds, hertz); `null` means that the unit has no such setting.
 */
export interface UnitSheet {
  readonly minDrive: Steps | null;
  /** Null: the unit cannot limit its drive. */
  readonly maxDrive: Steps | null;
  readonly releaseBand: Steps | null;
  readonly rampUpMs: Steps | null;
  readonly brakeFull: Steps | null;
  /** Null: no brake at part throttle. */
  readonly drag: { readonly strength: Steps; readonly zone: Steps; readonly closingOnly: boolean } | null;
  /** Switching frequencies there are to choose from. */
  readonly pwmHz: { readonly list: readonly number[] } | null;
  readonly decay: readonly ('slow' | 'fast')[];
  readonly rectify: readonly ('async' | 'sync')[];
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
  | { readonly kind: 'points'; readonly max: number };
