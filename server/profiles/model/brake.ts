import type { Tuning } from './profile.ts';

type BrakeSettings = Pick<Tuning, 'releaseBand' | 'rectify' | 'drag' | 'brakeFull'>;

/**
 * Off-time short share, 0..1: the part of the off time in which the motor's terminals are shorted. Inside a period the
 * order is drive, open, short.
 *
 * @param x trigger position, 0..1
 * @param closing whether the trigger is on its way back
 */
export function offShort(settings: BrakeSettings, x: number, closing: boolean): number {
  const { releaseBand, rectify, drag, brakeFull } = settings;
  if (x <= releaseBand / 1000) return brakeFull / 1000;
  // Shorted in the whole off time anyway: drag settings have no effect.
  if (rectify === 'sync') return 1;
  const inZone = x >= drag.zoneFrom / 1000 && x <= drag.zoneTo / 1000;
  return inZone && (!drag.closingOnly || closing) ? drag.strength / 1000 : 0;
}

/** Speeds of the trigger, in travels a second, at which it counts as closing and as no longer closing. */
const closingFrom = -0.2;
const closingUntil = -0.05;
const smoothingS = 0.01;

/** Tells whether a trigger is closing, from its smoothed speed with a hysteresis. Constants: design choice, no source. */
export class ClosingDetector {
  #speed = 0;
  #last: number | null = null;
  #closing = false;

  /**
   * @param x position now
   * @param dtS seconds since the position before; the first position only sets the start
   */
  step(x: number, dtS: number): boolean {
    if (this.#last !== null && dtS > 0) {
      this.#speed += (1 - Math.exp(-dtS / smoothingS)) * ((x - this.#last) / dtS - this.#speed);
      if (this.#speed <= closingFrom) this.#closing = true;
      else if (this.#speed >= closingUntil) this.#closing = false;
    }
    this.#last = x;
    return this.#closing;
  }
}
