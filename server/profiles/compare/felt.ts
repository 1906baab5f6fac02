/**
 * How much of a setting a driver just notices: what differences are measured in. A club may have amounts of its own.
 * Shares are permille.
 */
export interface FeltAmounts {
  /** Duty at a trigger position. */
  readonly duty: number;
  readonly minDrive: number;
  readonly maxDrive: number;
  readonly rampUpMs: number;
  readonly brakeFull: number;
  /** Off-time short share at a trigger position. */
  readonly partBrake: number;
  /** Ratio of two switching frequencies, above 1. */
  readonly pwmRatio: number;
  /** How many just noticeable steps fast decay counts against slow. */
  readonly fastDecay: number;
}

/** Design choice, common practice, no source. */
export const usualFelt: FeltAmounts = {
  duty: 40,
  minDrive: 20,
  maxDrive: 30,
  rampUpMs: 20,
  brakeFull: 50,
  partBrake: 100,
  pwmRatio: 1.25,
  fastDecay: 3,
};
