/** What runs are chosen from; rows are drivers, columns lanes in use. */
export interface NeedsChoice {
  /** Runs that each driver owes each lane. */
  readonly owed: readonly (readonly number[])[];
  /** Runs made on each lane in use. */
  readonly made: readonly (readonly number[])[];
  /** Runs made on any lane. */
  readonly runsMade: readonly number[];
  /** Heats to fill, and the fewest that the runs owed need. */
  readonly heats: number;
  readonly fewestHeats: number;
  /** The most cars in one heat. */
  readonly cars: number;
}

/**
 * Runs for exactly so many heats.
 *
 * With fewer heats than the runs owed need, a part of them: nobody runs more than they owe. With one more, or so many
 * that hardly a seat stays empty, just the runs owed. Else the night goes by heats, not by runs a lane, and the heats
 * are filled whatever is owed.
 *
 * One run at a time goes to the driver with the fewest runs who can still get one, along a shortest path "the driver
 * takes lane a from b, b takes lane c from d, …" to a lane with room. As sets of runs that fit are a polymatroid, this
 * greedy choice makes the runs as even as they can be; costs of paths are those of squared lane counts, so lane counts
 * come out even as well (successive shortest paths, R. Busacker and P. Gowen 1961).
 */
export function chooseNeeds(choice: NeedsChoice): number[][] {
  const { owed, made, heats, cars, fewestHeats } = choice;
  const all = owed.flat().reduce((sum, runs) => sum + runs, 0);
  const spread = heats === fewestHeats + 1 || Math.floor(all / heats) >= cars - 1;
  if (heats >= fewestHeats && all >= heats && spread) return owed.map((row) => [...row]);
  const most = heats < fewestHeats ? owed : made.map((row) => row.map(() => heats));
  return fill(choice, most);
}

function fill({ made, runsMade, heats, cars }: NeedsChoice, most: readonly (readonly number[])[]): number[][] {
  const lanes = made[0]?.length ?? 0;
  const room = Math.min(heats, Math.ceil((heats * cars) / lanes));
  const chosen = made.map((row) => row.map(() => 0));
  const used = Array<number>(lanes).fill(0);
  const runs = chosen.map(() => 0);
  const waiting = new Set(chosen.keys());
  for (let left = heats * cars; left > 0 && waiting.size > 0; ) {
    let next = -1;
    for (const d of waiting) if (next < 0 || total(d) < total(next)) next = d;
    const given = (runs[next] as number) < heats && giveRun(next, chosen, made, most, used, room);
    if (!given) waiting.delete(next);
    else {
      runs[next] = (runs[next] as number) + 1;
      left -= 1;
    }
  }
  return chosen;

  function total(d: number): number {
    return (runsMade[d] as number) + (runs[d] as number);
  }
}

/** Gives a driver one more run, others change lanes where they must; false when there is no way. */
function giveRun(
  driver: number,
  chosen: number[][],
  made: readonly (readonly number[])[],
  most: readonly (readonly number[])[],
  used: number[],
  room: number,
): boolean {
  const lanes = used.length;
  const at = (table: readonly (readonly number[])[], d: number, l: number) => table[d]?.[l] as number;
  const count = (d: number, l: number) => at(made, d, l) + at(chosen, d, l);
  const open = (d: number, l: number) => at(chosen, d, l) < at(most, d, l);
  const cost = used.map((_, l) => (open(driver, l) ? 2 * count(driver, l) + 1 : Number.POSITIVE_INFINITY));
  const by = used.map(() => ({ driver, from: -1 }));
  // Where a cheapest lane has room no path is cheaper: shifting others onto lanes with room never gains anything, or it
  // would have been done before.
  const cheapest = Math.min(...cost);
  const direct = used.some((runs, l) => runs < room && cost[l] === cheapest && cheapest < Number.POSITIVE_INFINITY);
  // Bellman and Ford: costs may be negative, rings never are.
  for (let round = 0, better = !direct; better && round < lanes; round += 1) {
    better = false;
    for (let a = 0; a < lanes; a += 1) {
      if (cost[a] === Number.POSITIVE_INFINITY) continue;
      for (let b = 0; b < lanes; b += 1) {
        if (a === b) continue;
        for (let d = 0; d < chosen.length; d += 1) {
          if (d === driver || at(chosen, d, a) === 0 || !open(d, b)) continue;
          const moved = (cost[a] as number) + 2 * (count(d, b) - count(d, a)) + 2;
          if (moved >= (cost[b] as number)) continue;
          cost[b] = moved;
          by[b] = { driver: d, from: a };
          better = true;
        }
      }
    }
  }
  let end = -1;
  for (let l = 0; l < lanes; l += 1) {
    if ((used[l] as number) >= room || cost[l] === Number.POSITIVE_INFINITY) continue;
    const closer = end < 0 || (cost[l] as number) < (cost[end] as number);
    if (closer || (cost[l] === cost[end] && (used[l] as number) < (used[end] as number))) end = l;
  }
  if (end < 0) return false;
  used[end] = (used[end] as number) + 1;
  for (let l = end; l >= 0; ) {
    const step = by[l] as { driver: number; from: number };
    const row = chosen[step.driver] as number[];
    row[l] = (row[l] as number) + 1;
    if (step.from >= 0) row[step.from] = (row[step.from] as number) - 1;
    l = step.from;
  }
  return true;
}
