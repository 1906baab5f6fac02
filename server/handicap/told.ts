import type { GuardedPace } from '../pace/slow-guard.ts';
import type { Why } from '../pace/why.ts';

/** How a race evens out chances; see `race.handicap`. */
export interface RaceHandicap {
  readonly mode: 'delay' | 'credit';
  /** 0 for not at all, 100 for equal chances. */
  readonly dial: number;
  /** Nobody gets more than so much time, or what is driven in it; null for no limit. */
  readonly capMs: number | null;
  /** Delays, and credits in a race over laps, are whole multiples of it. */
  readonly roundMs: number;
}

/** What one driver was told before a heat. */
export interface ToldLane {
  readonly lane: number;
  readonly entryId: string;
  readonly delayMs: number;
  /** In favour of the driver: hundredths of a lap in a heat over a time, milliseconds in one over laps. */
  readonly credit: number;
  /** Chance to win without and with the handicap; null where no chance could be told. */
  readonly before: number | null;
  readonly after: number | null;
  /** Few heats are behind it. */
  readonly provisional: boolean;
  /** Laid down by the director. */
  readonly byHand: boolean;
  /** What would be had nothing been laid down by hand: an amount as `delayMs` or `credit`, and the chance. */
  readonly proposed: number;
  readonly afterProposed: number | null;
  /** What the pace for the handicap goes by; null where there is none. */
  readonly by: GuardedPace['by'] | null;
  /** A win by more than this has less than 1 %: in the units of the heat's scores; null where it cannot be said. */
  readonly surprising: number | null;
  /** The figures it was worked out from, for "why is my delay 7.4 s?"; null where there are none. */
  readonly why: Pick<Why, 'own' | 'parts'> | null;
}

/** What was told of a heat, as stored. */
export interface ToldHeat {
  /** Of the race then: credits are in its units. */
  readonly format: string;
  readonly mode: RaceHandicap['mode'];
  /** Names everything that went in: the same facts give the same. */
  readonly inputs: string;
  /** Heats of the night, confirmed and counting, that it takes into account. */
  readonly heatsSeen: number;
  readonly lanes: readonly ToldLane[];
}

/** Reads what is stored; null for what is none. */
export function readTold(json: string): ToldHeat | null {
  try {
    const told = JSON.parse(json) as ToldHeat;
    return Array.isArray(told.lanes) && (told.mode === 'delay' || told.mode === 'credit') ? told : null;
  } catch {
    return null;
  }
}

/** What an `adjust` ruling says for a credit: laps are added to a score, time is taken from one. */
export const adjustmentFor = (credit: number, format: string): number =>
  credit === 0 ? 0 : format === 'laps' ? -credit : credit;
