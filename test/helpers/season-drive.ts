import type { LapRow } from '../../server/pace/lap-row.ts';
import type { Random } from '../../server/shared/random.ts';
import { gamma, lossOf } from './season-draws.ts';

/** How somebody drives laps. */
export interface Driving {
  /** Mean of the log of a clean lap. */
  readonly pace: number;
  readonly lapSd: number;
  readonly crashChance: number;
  /** Losses are those of everybody times this. */
  readonly lossFactor: number;
  /** Added to the log of a lap that is driven slowly on purpose. */
  readonly holdBack: (lap: number) => number;
}

export interface Timing {
  readonly flagged: number;
  readonly misplacedFlags: number;
  readonly missedCounts: number;
  readonly doubleTriggers: number;
}

export interface DrivenLap {
  readonly timeS: number;
  readonly flag: LapRow['flag'];
}

/** Counted laps of a heat, as a sensor and somebody who taps crashes see them. */
export function drivenHeat(
  random: Random,
  driving: Driving,
  heat: { readonly heatS: number; readonly callAt: number | null },
  timing: Timing,
): DrivenLap[] {
  const counted: DrivenLap[] = [];
  let clock = 0;
  let flagNext = false;
  const skewed = new SkewedLaps(random);
  for (let lap = 1; ; lap++) {
    let timeS = Math.exp(driving.pace + driving.holdBack(lap) + driving.lapSd * skewed.next());
    let flag: LapRow['flag'] = flagNext ? 'crash' : '';
    flagNext = false;
    if (lap === 1) timeS += 0.4 + 0.5 * random.unit();
    if (random.unit() < driving.crashChance) {
      timeS += lossOf(random) * driving.lossFactor;
      if (random.unit() < timing.flagged) {
        if (random.unit() < timing.misplacedFlags) flagNext = true;
        else flag = 'crash';
      }
    }
    if (heat.callAt !== null && clock <= heat.callAt && heat.callAt < clock + timeS) {
      timeS += 8 + 20 * random.unit();
      flag = 'call';
    }
    clock += timeS;
    if (clock > heat.heatS) return mistimed(random, timing, counted);
    counted.push({ timeS, flag });
  }
}

/** Laps and part of a lap driven from `delayS` to `heatS`. */
export function drivenScore(random: Random, driving: Driving, heatS: number, delayS: number): number {
  const skewed = new SkewedLaps(random);
  let clock = delayS + 0.4 + 0.5 * random.unit();
  for (let lap = 1; ; lap++) {
    const cleanS = Math.exp(driving.pace + driving.lapSd * skewed.next());
    const lossS = random.unit() < driving.crashChance ? lossOf(random) * driving.lossFactor : 0;
    if (clock + cleanS + lossS > heatS) {
      // The car stands where it left the slot, which is anywhere on the lap.
      const stopS = lossS > 0 ? random.unit() * cleanS : cleanS;
      const left = Math.max(0, heatS - clock);
      return lap - 1 + Math.min(1, (left <= stopS ? left : Math.max(stopS, left - lossS)) / cleanS);
    }
    clock += cleanS + lossS;
  }
}

/** Laps around a mean: skewed to the slow side, and each like the one before by an eighth. Standard deviation 1. */
class SkewedLaps {
  readonly #random: Random;
  #last = 0;

  constructor(random: Random) {
    this.#random = random;
  }

  next(): number {
    const fresh = (gamma(this.#random, 4) - 4) / 2;
    this.#last = 0.125 * this.#last + Math.sqrt(1 - 0.125 ** 2) * fresh;
    return this.#last;
  }
}

/** What a sensor makes of laps: two read as one where a passing was missed, one read as two where it was seen twice. */
function mistimed(random: Random, timing: Timing, laps: readonly DrivenLap[]): DrivenLap[] {
  const seen: DrivenLap[] = [];
  let carried = 0;
  for (const { timeS, flag } of laps) {
    const total = carried + timeS;
    carried = 0;
    const chance = random.unit();
    if (chance < timing.missedCounts) carried = total;
    else if (chance < timing.missedCounts + timing.doubleTriggers) {
      const early = 0.15 + 0.4 * random.unit();
      seen.push({ timeS: early, flag: '' }, { timeS: total - early, flag });
    } else seen.push({ timeS: total, flag });
  }
  return seen;
}
