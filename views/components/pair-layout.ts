/** How large the triangle of pairs is drawn, in user units: one is a pixel where there is room. */
export interface PairLayout {
  readonly cell: number;
  readonly width: number;
  readonly height: number;
  /** Whether cells have room for their number. */
  readonly numbers: boolean;
  /** Whether a phone shows it whole. Wider ones scroll by themselves there. */
  readonly fits: boolean;
}

/** Room for a short name at the end of the longest row. */
const nameWidth = 112;

/** The layout for so many drivers, from 2. */
export function pairLayout(drivers: number): PairLayout {
  const numbers = drivers <= 24;
  const cell = numbers ? 24 : 14;
  return { cell, width: (drivers - 1) * cell + nameWidth, height: drivers * cell, numbers, fits: drivers <= 14 };
}

/** Darkest shade; higher counts share it. */
const darkest = 3;

/** One shade with what it stands for. */
export interface PairKey {
  readonly level: number;
  readonly meetings: number;
  /** Stands also for every higher number. */
  readonly more: boolean;
  /** How many pairs have it. */
  readonly pairs: number;
}

/**
 * Shades for numbers of meetings: 0 for pairs that never meet, from 1 to 3 for those who do, beginning at the smallest
 * number there is.
 *
 * @param counts meetings of each pair; whole, not negative
 */
export function pairLevels(counts: readonly number[]): { levelOf: (meetings: number) => number; key: PairKey[] } {
  const met = counts.filter((count) => count > 0);
  const least = met.length > 0 ? Math.min(...met) : 1;
  const levelOf = (meetings: number) => (meetings === 0 ? 0 : Math.min(darkest, meetings - least + 1));
  const levels = [...new Set(counts.map(levelOf))].sort((a, b) => a - b);
  const key = levels.map((level) => {
    const those = counts.filter((count) => levelOf(count) === level);
    const meetings = Math.min(...those);
    return { level, meetings, more: Math.max(...those) > meetings, pairs: those.length };
  });
  return { levelOf, key };
}
