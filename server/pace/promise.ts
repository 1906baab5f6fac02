/** One handicap heat of the past: what was said before, and what came. */
export interface KeptPromise {
  readonly starters: readonly {
    readonly driver: string;
    /** Told chance to win, from 0 to 1. */
    readonly chance: number;
    /** Share of the win: 1 for the winner, 0 for the others; a joint win is split. */
    readonly share: number;
  }[];
}

/** How chances compare with what happened. */
export interface Reliability {
  /** Heats that could be judged. */
  readonly heats: number;
  readonly starts: number;
  /** By rising chance; without starts left out. */
  readonly bins: readonly ReliabilityBin[];
  /**
   * Mean over heats of the sum over starters of (chance - share)^2, from 0 (all foretold) to 2; null without heats.
   * G. W. Brier, "Verification of forecasts expressed in terms of probability", Monthly Weather Review 78, 1950.
   */
  readonly brier: number | null;
  /** The same had everybody been given an equal chance. */
  readonly brierEven: number | null;
}

export interface ReliabilityBin {
  /** Chances from here (included) to there (not included, except 1). */
  readonly from: number;
  readonly to: number;
  readonly starts: number;
  /** Mean chance told. */
  readonly told: number;
  readonly won: number;
  /** Share won, and its 90 % limits (Wilson). */
  readonly rate: number;
  readonly low: number;
  readonly high: number;
}

/** A driver's, or a group's, wins against those promised. */
export interface WinShare {
  readonly label: string;
  readonly starts: number;
  readonly expected: number;
  readonly won: number;
  /** Won less expected, in standard deviations of pure chance; 0 where nothing could differ. */
  readonly deviation: number;
}

const edges = [0, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.5, 0.6, 0.8, 1] as const;
/** A bin with fewer starts is joined with the next one: a share of three starts says nothing. */
const fewest = 10;

const z90 = 1.6448536269514722;

/**
 * Limits for a share by Wilson's score interval (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927).
 *
 * @param won from 0 to `tries`, may be a fraction where wins were split
 * @param tries 0: nothing is known, limits are 0 and 1
 * @param z quantile of the normal distribution; 1.645 for 90 %
 */
export function wilson(won: number, tries: number, z: number = z90): { low: number; high: number } {
  if (!(tries > 0)) return { low: 0, high: 1 };
  const z2 = z * z;
  const centre = won + z2 / 2;
  const reach = z * Math.sqrt((won * (tries - won)) / tries + z2 / 4);
  return {
    low: Math.max(0, (centre - reach) / (tries + z2)),
    high: Math.min(1, (centre + reach) / (tries + z2)),
  };
}

/** Holds told chances against what happened. Heats without a winner, a field or usable chances are passed over. */
export function reliability(heats: readonly KeptPromise[]): Reliability {
  const judged = heats.flatMap(soundHeat);
  const starts = judged.flat();
  const score = (told: (chance: number, field: number) => number) =>
    judged.length === 0
      ? null
      : sum(judged.map((field) => sum(field.map((s) => (told(s.chance, field.length) - s.share) ** 2)))) /
        judged.length;
  return {
    heats: judged.length,
    starts: starts.length,
    bins: binsOf(starts),
    brier: score((chance) => chance),
    brierEven: score((_, field) => 1 / field),
  };
}

/**
 * Wins against promises by label, in order of labels.
 *
 * @param labelOf a driver's label: the driver itself, or its group
 */
export function winShares(heats: readonly KeptPromise[], labelOf: (driver: string) => string): WinShare[] {
  const totals = new Map<string, { starts: number; expected: number; won: number; variance: number }>();
  for (const { driver, chance, share } of heats.flatMap(soundHeat).flat()) {
    const label = labelOf(driver);
    const total = totals.get(label) ?? { starts: 0, expected: 0, won: 0, variance: 0 };
    totals.set(label, {
      starts: total.starts + 1,
      expected: total.expected + chance,
      won: total.won + share,
      variance: total.variance + chance * (1 - chance),
    });
  }
  return [...totals]
    .map(([label, { starts, expected, won, variance }]) => {
      const deviation = variance > 0 ? (won - expected) / Math.sqrt(variance) : 0;
      return { label, starts, expected, won, deviation };
    })
    .sort((a, b) => (a.label < b.label ? -1 : 1));
}

type Start = KeptPromise['starters'][number];

/** The starters of a heat with chances and shares adding up to 1; nothing where that cannot be. */
function soundHeat({ starters }: KeptPromise): Start[][] {
  const usable = (x: number) => Number.isFinite(x) && x >= 0;
  if (starters.length < 2 || !starters.every(({ chance, share }) => usable(chance) && usable(share))) return [];
  const chances = sum(starters.map(({ chance }) => chance));
  const shares = sum(starters.map(({ share }) => share));
  if (!(chances > 0 && shares > 0 && Number.isFinite(chances) && Number.isFinite(shares))) return [];
  return [starters.map((s) => ({ ...s, chance: s.chance / chances, share: s.share / shares }))];
}

function binsOf(starts: readonly Start[]): ReliabilityBin[] {
  const bins: { from: number; to: number; starts: Start[] }[] = [];
  let from: number = edges[0];
  let held: Start[] = [];
  for (const [i, to] of edges.slice(1).entries()) {
    const last = i === edges.length - 2;
    held.push(...starts.filter(({ chance }) => chance >= (edges[i] as number) && (chance < to || last)));
    if (held.length < fewest && !last) continue;
    const before = bins.at(-1);
    if (last && held.length < fewest && before) {
      before.starts.push(...held);
      if (held.length > 0) before.to = to;
    } else if (held.length > 0) bins.push({ from, to, starts: held });
    from = to;
    held = [];
  }
  return bins.map(({ from, to, starts }) => {
    const won = sum(starts.map(({ share }) => share));
    const told = sum(starts.map(({ chance }) => chance)) / starts.length;
    return { from, to, starts: starts.length, told, won, rate: won / starts.length, ...wilson(won, starts.length) };
  });
}

const sum = (list: readonly number[]) => list.reduce((total, x) => total + x, 0);
