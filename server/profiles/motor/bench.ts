import type { CarMotor } from './motor.ts';

/** Readings of a motor alone: held still, running free, and perhaps running free at another voltage. */
export interface BenchReadings {
  readonly heldV: number;
  readonly heldA: number;
  readonly freeV: number;
  readonly freeA: number;
  readonly freeRpm: number;
  readonly second: { readonly freeA: number; readonly freeRpm: number } | null;
}

export type BenchValues = Pick<CarMotor, 'rOhm' | 'keVs' | 'tf' | 'b'>;

const radPerSOf = (rpm: number) => (rpm * 2 * Math.PI) / 60;

/**
 * R = V / I held; Ke = (V - I0 R) / w0; Tf + b w0 = Ke I0. One free run cannot tell the two frictions apart and then
 * counts as dry; with a second one b is what the torque gains over the speed.
 *
 * @returns null where the readings do not fit together
 */
export function fromBench({ heldV, heldA, freeV, freeA, freeRpm, second }: BenchReadings): BenchValues | null {
  const rOhm = heldV / heldA;
  const speed = radPerSOf(freeRpm);
  const keVs = (freeV - freeA * rOhm) / speed;
  if (!(rOhm > 0 && keVs > 0 && Number.isFinite(rOhm + keVs))) return null;
  const torque = keVs * freeA;
  if (second === null) return { rOhm, keVs, tf: torque, b: 0 };
  const apart = radPerSOf(second.freeRpm) - speed;
  if (apart === 0) return null;
  const slope = (keVs * second.freeA - torque) / apart;
  // Neither friction drives a motor: readings that say so are noise about zero.
  const b = Math.min(Math.max(0, slope), torque / speed);
  return { rOhm, keVs, tf: Math.max(0, torque - b * speed), b };
}
