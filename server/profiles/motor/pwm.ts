import type { Car } from './car.ts';

/** How a controller switches, apart from its duty. Order inside a period: drive, open, short. */
export interface Switching {
  /** Share of the period with the track's voltage, 0..1. */
  readonly duty: number;
  /** Share of the rest that is shorted, 0..1; 1 all of it. */
  readonly offShort: number;
  readonly pwmHz: number;
  readonly decay: 'slow' | 'fast';
}

/** One period of current at a steady speed, repeated for ever. Currents in A, negative ones brake. */
export interface PwmPeriod {
  readonly meanA: number;
  readonly rmsA: number;
  readonly peakA: number;
  readonly leastA: number;
  /** Mean current out of the supply; negative when more goes back than comes. */
  readonly supplyA: number;
  /** Whether current flows all the time. */
  readonly continuous: boolean;
}

/** The two voltages at the terminals while they are open, with diodes that drop nothing. */
export function openVolts(volts: number, decay: 'slow' | 'fast', diodeVolts = 0) {
  return {
    dyingVolts: decay === 'slow' ? -diodeVolts : -(volts + 2 * diodeVolts),
    backVolts: volts + diodeVolts,
  };
}

/**
 * The current of a chopped motor whose speed does not move within a period: exact segments, and the period's map run to
 * its fixed point. The map is made of straight pieces and never falls, so Newton's method ends after a few steps; a
 * bracket keeps it from jumping between two pieces.
 *
 * @param backEmf Ke times speed, V
 */
export function pwmPeriod(car: Pick<Car, 'ohm' | 'henry' | 'volts'>, switching: Switching, backEmf: number): PwmPeriod {
  const book = new Book(car, switching, backEmf);
  let low = Math.min(0, -backEmf / car.ohm);
  let high = Math.max(0, (car.volts - backEmf) / car.ohm);
  let start = 0;
  // Newton needs a handful of rounds; the bracket alone, were it ever left with that, is at the last bit after these.
  for (let round = 0; round < mostRounds; round++) {
    const end = book.run(start);
    const rise = end - start;
    if (Math.abs(rise) <= 1e-13 * (1 + Math.abs(start))) break;
    if (rise > 0) low = start;
    else high = start;
    const next = start + rise / (1 - book.slope);
    start = next > low && next < high ? next : (low + high) / 2;
  }
  return book.period();
}

const mostRounds = 100;

/** Runs one period segment by segment and adds up what flows. */
class Book {
  readonly #tau: number;
  readonly #ohm: number;
  readonly #volts: number;
  readonly #backEmf: number;
  readonly #periodS: number;
  readonly #driveS: number;
  readonly #openS: number;
  readonly #shortS: number;
  readonly #dying: number;
  readonly #back: number;
  readonly #returnsDying: boolean;
  #i = 0;
  #charge = 0;
  #square = 0;
  #supply = 0;
  #peak = 0;
  #least = 0;
  #dead = false;
  /** Slope of the period's map at the start of the last run: change of the end for a change of the start. */
  slope = 0;

  constructor(car: Pick<Car, 'ohm' | 'henry' | 'volts'>, { duty, offShort, pwmHz, decay }: Switching, backEmf: number) {
    this.#tau = car.henry / car.ohm;
    this.#ohm = car.ohm;
    this.#volts = car.volts;
    this.#backEmf = backEmf;
    this.#periodS = 1 / pwmHz;
    this.#driveS = duty * this.#periodS;
    const off = this.#periodS - this.#driveS;
    this.#openS = off * (1 - offShort);
    this.#shortS = off * offShort;
    const open = openVolts(car.volts, decay);
    this.#dying = (open.dyingVolts - backEmf) / car.ohm;
    this.#back = (open.backVolts - backEmf) / car.ohm;
    this.#returnsDying = decay === 'fast';
  }

  run(start: number): number {
    this.#i = start;
    this.#charge = 0;
    this.#square = 0;
    this.#supply = 0;
    this.#peak = start;
    this.#least = start;
    this.#dead = false;
    this.slope = 1;
    if (this.#driveS > 0) this.#segment((this.#volts - this.#backEmf) / this.#ohm, this.#driveS, 1);
    if (this.#openS > 0) this.#open(this.#openS);
    if (this.#shortS > 0) this.#segment(-this.#backEmf / this.#ohm, this.#shortS, 0);
    return this.#i;
  }

  period(): PwmPeriod {
    return {
      meanA: this.#charge / this.#periodS,
      rmsA: Math.sqrt(Math.max(0, this.#square) / this.#periodS),
      peakA: this.#peak,
      leastA: this.#least,
      supplyA: this.#supply / this.#periodS,
      continuous: !this.#dead,
    };
  }

  /** Current towards `goal` for `h` seconds. @param fromSupply share of it that comes out of the supply: 1, 0 or -1 */
  #segment(goal: number, h: number, fromSupply: 1 | 0 | -1): void {
    const x = -h / this.#tau;
    const gone = -Math.expm1(x);
    const left = Math.exp(x);
    const away = this.#i - goal;
    const charge = goal * h + away * this.#tau * gone;
    this.#charge += charge;
    this.#square +=
      goal * goal * h + 2 * goal * away * this.#tau * gone + ((away * away * this.#tau) / 2) * gone * (1 + left);
    this.#supply += fromSupply * charge;
    this.#i = goal + away * left;
    if (this.#i > this.#peak) this.#peak = this.#i;
    if (this.#i < this.#least) this.#least = this.#i;
    this.slope *= left;
  }

  #open(h: number): void {
    const i = this.#i;
    const rising = i < 0 || (i === 0 && this.#back < 0);
    const falling = i > 0 || (i === 0 && this.#dying > 0);
    const goal = rising ? this.#back : this.#dying;
    if (!rising && !falling) {
      this.#dead = true;
      this.slope = 0;
      return;
    }
    const fromSupply = rising ? 1 : this.#returnsDying ? -1 : 0;
    // The current dies only where its goal lies beyond zero.
    const dies =
      i !== 0 && (rising ? goal > 0 : goal < 0) ? this.#tau * Math.log1p(-i / goal) : Number.POSITIVE_INFINITY;
    this.#segment(goal, Math.min(h, dies), fromSupply);
    if (dies <= h) {
      this.#i = 0;
      this.#dead = true;
      this.slope = 0;
    }
  }
}
