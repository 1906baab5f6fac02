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

/** Shades for pairs who meet, lightest first. */
const shades = 3;

/** One shade with what it stands for. */
export interface PairKey {
  /** 0: never; then darker with every level, to 3. */
  readonly level: number;
  readonly from: number;
  readonly to: number;
  /** How many pairs have it. */
  readonly pairs: number;
}

/**
 * Shades for numbers of meetings: none for pairs that never meet; the others share three in equal steps from the
 * smallest number to the largest.
 *
 * @param counts meetings of each pair; whole, not negative
 */
export function pairLevels(counts: readonly number[]): { levelOf: (meetings: number) => number; key: PairKey[] } {
  const met = counts.filter((count) => count > 0);
  const least = met.length > 0 ? Math.min(...met) : 1;
  const step = met.length > 0 ? Math.ceil((Math.max(...met) - least + 1) / shades) : 1;
  const levelOf = (meetings: number) => (meetings === 0 ? 0 : Math.floor((meetings - least) / step) + 1);
  const levels = [...new Set(counts.map(levelOf))].sort((a, b) => a - b);
  const key = levels.map((level) => {
    const those = counts.filter((count) => levelOf(count) === level);
    return { level, from: Math.min(...those), to: Math.max(...those), pairs: those.length };
  });
  return { levelOf, key };
}
