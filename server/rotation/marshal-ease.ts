/** Who marshals what, in small numbers: on[heat * drivers + driver] = 1 for a duty. */
export interface DutyTable {
  readonly drivers: number;
  readonly heats: number;
  readonly on: Uint8Array;
  /** free[heat * drivers + driver] = 1: sits out and may marshal. */
  readonly free: Uint8Array;
  /** strain[heat * drivers + driver] = 1: drives in the heat after. */
  readonly strain: Uint8Array;
  /** Duties of each driver, those before these heats included. */
  readonly duties: Int32Array;
}

/**
 * Makes duties in the heat before one's own run as few as they can be with counts as even as they are.
 *
 * A least-cost flow by cancelling of negative cycles (M. Klein, Management Science 14, 1967): in a ring each driver hands
 * one duty to the next; where the last has one duty fewer than the first, they may also just change counts.
 */
export function easeBeforeRuns(table: DutyTable): void {
  const n = table.drivers;
  const gain = new Int8Array(n * n);
  const heatOf = new Int32Array(n * n);
  for (;;) {
    handovers(table, gain, heatOf);
    const ring = negativeRing(gain, n);
    if (ring === null) return;
    for (const [i, from] of ring.entries()) {
      const to = ring[(i + 1) % ring.length] as number;
      const heat = heatOf[from * n + to] as number;
      // Where there is no heat, `from` has taken one more and `to` given one away: their counts are exchanged already.
      if (heat >= 0) hand(table, heat, from, to);
    }
  }
}

const none = 100;

/** The cheapest way for each driver to hand a duty to each other one: its cost and heat (-1: by exchange of counts). */
function handovers({ drivers: n, heats, on, free, strain, duties }: DutyTable, gain: Int8Array, heatOf: Int32Array) {
  gain.fill(none);
  for (let from = 0; from < n; from += 1) {
    for (let to = 0; to < n; to += 1) {
      // The way back of a path that ends here: `to` began it with one duty more.
      if ((duties[to] as number) !== (duties[from] as number) + 1) continue;
      gain[from * n + to] = 0;
      heatOf[from * n + to] = -1;
    }
  }
  for (let h = 0; h < heats; h += 1) {
    for (let from = 0; from < n; from += 1) {
      if (on[h * n + from] === 0) continue;
      for (let to = 0; to < n; to += 1) {
        if (free[h * n + to] === 0 || on[h * n + to] === 1) continue;
        const cost = (strain[h * n + to] as number) - (strain[h * n + from] as number);
        if (cost >= (gain[from * n + to] as number)) continue;
        gain[from * n + to] = cost;
        heatOf[from * n + to] = h;
      }
    }
  }
}

function hand({ drivers: n, on, duties }: DutyTable, heat: number, from: number, to: number): void {
  on[heat * n + from] = 0;
  on[heat * n + to] = 1;
  duties[from] = (duties[from] as number) - 1;
  duties[to] = (duties[to] as number) + 1;
}

/** Drivers around a ring whose costs add up to less than 0 (R. Bellman 1958), or null. */
function negativeRing(gain: Int8Array, n: number): number[] | null {
  const cost = new Int32Array(n);
  const before = new Int32Array(n).fill(-1);
  for (let round = 0; round <= n; round += 1) {
    let changed = false;
    for (let from = 0; from < n; from += 1) {
      for (let to = 0; to < n; to += 1) {
        const step = gain[from * n + to] as number;
        if (step === none || (cost[from] as number) + step >= (cost[to] as number)) continue;
        cost[to] = (cost[from] as number) + step;
        before[to] = from;
        changed = true;
      }
    }
    if (!changed) return null;
    const ring = ringOf(before);
    if (ring) return ring;
  }
  return null;
}

/** A ring of "came from" steps, in the order in which duties are handed on; such a ring is always negative. */
function ringOf(before: Int32Array): number[] | null {
  const seenFrom = new Int32Array(before.length).fill(-1);
  for (let start = 0; start < before.length; start += 1) {
    let at = start;
    while (at >= 0 && seenFrom[at] === -1) {
      seenFrom[at] = start;
      at = before[at] as number;
    }
    if (at < 0 || seenFrom[at] !== start) continue;
    const ring = [at];
    for (let next = before[at] as number; next !== at; next = before[next] as number) ring.unshift(next);
    return ring;
  }
  return null;
}

/**
 * Shortens runs of duties heat after heat: hands single duties on, or exchanges two, as long as squared lengths of such
 * runs get fewer; counts and duties before own runs stay as good as they are. What it finds is good, not proved best.
 */
export function easeStreaks(table: DutyTable): void {
  while (improveStreak(table));
}

function improveStreak(table: DutyTable): boolean {
  const { drivers: n, heats, on, free, strain, duties } = table;
  for (let h = 0; h < heats; h += 1) {
    for (let d = 0; d < n; d += 1) {
      const inStreak = on[h * n + d] === 1 && (isOn(table, h - 1, d) || isOn(table, h + 1, d));
      if (!inStreak) continue;
      for (let e = 0; e < n; e += 1) {
        if (free[h * n + e] === 0 || on[h * n + e] === 1) continue;
        const worse = (strain[h * n + e] as number) - (strain[h * n + d] as number);
        const length = streaks(table, d) + streaks(table, e);
        hand(table, h, d, e);
        // `e` had one duty fewer: counts are exchanged.
        if ((duties[e] as number) === (duties[d] as number) + 1 && worse <= 0) {
          if (streaks(table, d) + streaks(table, e) < length) return true;
        }
        for (let g = 0; g < heats; g += 1) {
          if (g === h || on[g * n + e] === 0 || free[g * n + d] === 0 || on[g * n + d] === 1) continue;
          if (worse + (strain[g * n + d] as number) - (strain[g * n + e] as number) > 0) continue;
          hand(table, g, e, d);
          if (streaks(table, d) + streaks(table, e) < length) return true;
          hand(table, g, d, e);
        }
        hand(table, h, e, d);
      }
    }
  }
  return false;
}

const isOn = ({ drivers, heats, on }: DutyTable, heat: number, driver: number) =>
  heat >= 0 && heat < heats && on[heat * drivers + driver] === 1;

/** Sum of squared lengths of a driver's duties heat after heat. */
function streaks(table: DutyTable, driver: number): number {
  let sum = 0;
  for (let h = 0, length = 0; h <= table.heats; h += 1) {
    if (isOn(table, h, driver)) length += 1;
    else {
      sum += length * length;
      length = 0;
    }
  }
  return sum;
}
