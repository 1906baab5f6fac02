/**
 * What a driver sets on a controller. Shares are permille (integers 0..1000), times milliseconds: every number is an
 * integer, so the canonical text of a profile cannot depend on how a float is printed. Ranges and defaults are common
 * practice, no source.
 */
export interface Profile extends Tuning {
  /** 1 to 40 characters, in Unicode normal form C, without control and bidirectional-control characters. */
  readonly name: string;
  /** Up to 280 characters of the same kind. */
  readonly notes?: string;
}

/** The settings that are felt: what the setup hash is made of. */
export interface Tuning {
  /** Duty at the moment the trigger leaves rest; permille, 0..600. */
  readonly minDrive: number;
  /** Duty at full trigger, the power limiter; permille, 100..1000, at least `minDrive` + 50. */
  readonly maxDrive: number;
  /** A trigger at or below it counts as released; permille of travel, 0..150. */
  readonly releaseBand: number;
  readonly curve: Curve;
  /** Time in which duty rises from 0 to 100 %; 0..500 ms, 0 for at once. */
  readonly rampUpMs: number;
  /** Off-time short share at full release; permille. */
  readonly brakeFull: number;
  /** Brake at part throttle. */
  readonly drag: Drag;
  /** 200..5000. */
  readonly pwmHz: number;
  /** Where current goes in the off time: `slow` through a short or diode, `fast` back to the supply (full bridge only). */
  readonly decay: 'slow' | 'fast';
  /** `async`: a diode carries the current in the off time; `sync`: the terminals are shorted all of it. */
  readonly rectify: 'async' | 'sync';
}

export interface Drag {
  /** Off-time short share inside the zone; permille. */
  readonly strength: number;
  /** Zone of the trigger, both ends included; permille of travel, `zoneFrom` <= `zoneTo`. */
  readonly zoneFrom: number;
  readonly zoneTo: number;
  /** Only while the trigger is closing. */
  readonly closingOnly: boolean;
}

/** `shape`: -100 (fuller late) to 100 (fuller early), 0 is straight. `points`: see {@link CurvePoint}. */
export type Curve =
  | { readonly kind: 'shape'; readonly shape: number }
  | { readonly kind: 'points'; readonly points: readonly CurvePoint[] };

/**
 * [trigger, drive] in permille. 2 to 9 of them, the first [0, 0], the last [1000, 1000], triggers at least 20 apart,
 * drives never falling.
 */
export type CurvePoint = readonly [number, number];

export const defaultTuning: Tuning = {
  minDrive: 80,
  maxDrive: 1000,
  releaseBand: 20,
  curve: { kind: 'shape', shape: 0 },
  rampUpMs: 0,
  brakeFull: 1000,
  drag: { strength: 0, zoneFrom: 0, zoneTo: 300, closingOnly: false },
  pwmHz: 2000,
  decay: 'slow',
  rectify: 'async',
};

/** Least and most of every number of a profile, in its own unit. */
export const ranges = {
  minDrive: [0, 600],
  maxDrive: [100, 1000],
  releaseBand: [0, 150],
  shape: [-100, 100],
  rampUpMs: [0, 500],
  brakeFull: [0, 1000],
  dragStrength: [0, 1000],
  dragZone: [0, 1000],
  pwmHz: [200, 5000],
} as const satisfies Record<string, readonly [number, number]>;

/** `maxDrive` is at least this much above `minDrive`. */
export const leastDriveSpan = 50;
export const curvePoints = { fewest: 2, most: 9, leastApart: 20 } as const;
export const longestName = 40;
export const longestNotes = 280;

/** The ten tuning fields alone, without name and notes. */
export function tuningOf(profile: Tuning): Tuning {
  const { minDrive, maxDrive, releaseBand, curve, rampUpMs, brakeFull, drag, pwmHz, decay, rectify } = profile;
  return { minDrive, maxDrive, releaseBand, curve, rampUpMs, brakeFull, drag, pwmHz, decay, rectify };
}
