import type { LapRow, Laps } from './lap-row.ts';
import type { HeatOfDriver } from './lap-table.ts';

/**
 * Laps in columns: about 17 bytes a lap, so that a million of them go to a thread as a handful of buffers. Lap i is one of
 * `heats[heat[i]]`.
 */
export interface LapColumns {
  readonly heats: readonly HeatOfDriver[];
  readonly heat: Int32Array;
  /** Number of the lap in its heat. */
  readonly lap: Int32Array;
  readonly timeS: Float64Array;
  /** Place in `lapFlags`. */
  readonly flag: Uint8Array;
}

const lapFlags = ['', 'crash', 'call'] as const;

/** Takes laps in, heat by heat. */
export class LapColumnsBuilder {
  readonly #heats: HeatOfDriver[] = [];
  readonly #heat: number[] = [];
  readonly #lap: number[] = [];
  readonly #timeS: number[] = [];
  readonly #flag: number[] = [];

  /** Names the driver and heat of the laps that follow. */
  heat(heat: HeatOfDriver): void {
    this.#heats.push(heat);
  }

  lap({ lap, timeS, flag }: Pick<LapRow, 'lap' | 'timeS' | 'flag'>): void {
    this.#heat.push(this.#heats.length - 1);
    this.#lap.push(lap);
    this.#timeS.push(timeS);
    this.#flag.push(lapFlags.indexOf(flag));
  }

  columns(): LapColumns {
    return {
      heats: this.#heats,
      heat: Int32Array.from(this.#heat),
      lap: Int32Array.from(this.#lap),
      timeS: Float64Array.from(this.#timeS),
      flag: Uint8Array.from(this.#flag),
    };
  }
}

/** The laps one after the other; each is made when it is asked for. */
export function lapsOf(columns: LapColumns): Laps {
  const { heats, heat, lap, timeS, flag } = columns;
  return {
    length: lap.length,
    *[Symbol.iterator]() {
      for (let i = 0; i < lap.length; i++) {
        yield {
          ...(heats[heat[i] as number] as HeatOfDriver),
          lap: lap[i] as number,
          timeS: timeS[i] as number,
          flag: lapFlags[flag[i] as number] ?? '',
        };
      }
    },
  };
}
