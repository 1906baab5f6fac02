import { expect, test } from 'vitest';
import { searchSets } from '../../server/rotation/search/sets.ts';
import { type DrawTask, type Seats, stepsFor } from '../../server/rotation/search/task.ts';

/**
 * First draws of every number of drivers from 2 to 40 on 2 to 8 lanes, one run a lane, held against bounds that no draw can
 * beat. It prints a table of all that miss one. With LANEWISE_BENCH=quick only every sixth number of drivers is drawn.
 *
 * Bounds: all pairs within one of each other (counts with a fixed sum); back-to-backs that a sum of squared meetings
 * makes unavoidable, by the trace identity
 *   2 x sum over pairs m^2 + sum over drivers r^2 = 2 x sum over pairs of heats (shared drivers)^2 + sum over heats s^2,
 * both sides being the trace of (N Nt)^2 for the incidence matrix N. Goals: measured with an earlier search.
 */
const quick = process.env.LANEWISE_BENCH === 'quick';
const everyNth = quick ? 6 : 1;

/**
 * Drivers/lanes where the bound for pairs is out of reach or not known to be in reach. Symmetric configurations and
 * square designs that do not exist: S. S. Shrikhande 1950 (22/7, 29/8); P. Kaski and P. Östergård 2007 (33/6) and the
 * Handbook of Combinatorial Designs (32/6), both from memory; for the others the Hasse invariants of the concurrence
 * matrix (R. C. Bose, W. S. Connor 1952, from memory) leave nothing or next to nothing.
 */
const hard = new Set('17/6 20/5 22/5 22/7 20/8 29/8 33/6 32/6 34/6 29/6 30/6 23/7 28/8 38/7'.split(' '));
/** They may need twice the time. */
const slow = new Set(['40/7', '30/8']);

interface Cell {
  readonly name: string;
  readonly drivers: number;
  readonly width: number;
  readonly cpuMs: number;
  readonly pairs: number;
  readonly leastPairs: number;
  readonly spread: number;
  readonly backToBack: number;
  readonly leastBackToBack: number;
  readonly sitOut: number;
  readonly leastSitOut: number;
  readonly neighbours: number;
  readonly carryOver: number;
  /** Least sum over pairs without any back-to-back. */
  readonly leastRested: number;
}

function leastSquares(sum: number, cells: number): number {
  if (cells === 0) return 0;
  const q = Math.floor(sum / cells);
  return cells * q * q + (sum - q * cells) * (2 * q + 1);
}

function drawn(drivers: number, width: number, preset: DrawTask['preset'], budgetMs: number): Cell {
  const heats = Math.max(drivers, width);
  const task: DrawTask = {
    drivers,
    lanes: Array.from({ length: width }, (_, l) => l + 1),
    done: [],
    published: [],
    runs: Array.from({ length: drivers }, () => width),
    needs: null,
    heats,
    preset,
    seed: 1,
    steps: stepsFor(budgetMs),
  };
  const before = process.cpuUsage();
  const search = searchSets(task);
  let step = search.next();
  while (!step.done) step = search.next();
  const spent = process.cpuUsage(before);
  return { ...measured(step.value, drivers, width, heats), cpuMs: (spent.user + spent.system) / 1000 };
}

function measured(seats: Seats, n: number, width: number, heats: number): Omit<Cell, 'cpuMs'> {
  const rows = Array.from({ length: heats }, (_, h) => [...seats.slice(h * width, (h + 1) * width)]);
  const met = new Map<string, number>();
  const beside = new Map<string, number>();
  const took = new Map<string, number>();
  const add = (map: Map<string, number>, a = -1, b = -1) => {
    if (a >= 0 && b >= 0) map.set(`${a} ${b}`, (map.get(`${a} ${b}`) ?? 0) + 1);
  };
  for (const [h, row] of rows.entries()) {
    for (const [l, a] of row.entries()) {
      for (const b of row) if (a < b) add(met, a, b);
      const next = row[l + 1] ?? -1;
      add(beside, Math.min(a, next), Math.max(a, next));
      add(took, a, rows[h + 1]?.[l]);
    }
  }
  const waits = Array.from({ length: n }, (_, d) => {
    const ends = [...rows.flatMap((row, h) => (row.includes(d) ? [h] : [])), heats];
    return ends.map((h, i) => h - (ends[i - 1] ?? -1) - 1);
  });
  const squares = (map: Map<string, number>) => [...map.values()].reduce((sum, count) => sum + count ** 2, 0);
  const pairs = (n * (n - 1)) / 2;
  const cars = Math.min(n, width);
  const meetings = (heats * cars * (cars - 1)) / 2;
  const counts = [...met.values()];
  // Back-to-backs come at heats - 1 changes of heats, all other shared drivers at other pairs of heats.
  const rested = (backToBack: number) =>
    leastSquares(backToBack, heats - 1) + leastSquares(meetings - backToBack, pairs - (heats - 1));
  let leastBackToBack = Math.max(0, 2 * cars - n) * (heats - 1);
  while (n > width && rested(leastBackToBack) > squares(met)) leastBackToBack += 1;
  const ratio = (achieved: number, bound: number) => (bound === 0 ? 1 : achieved / bound);
  const lanesTaken = n < width ? 0 : width * (heats - 1);
  return {
    name: `${n}/${width}`,
    drivers: n,
    width,
    pairs: squares(met),
    leastPairs: leastSquares(meetings, pairs),
    spread: Math.max(...counts) - (counts.length < pairs ? 0 : Math.min(...counts)),
    backToBack: waits.reduce((sum, gaps) => sum + gaps.slice(1, -1).filter((gap) => gap === 0).length, 0),
    leastBackToBack,
    sitOut: Math.max(...waits.flat()),
    leastSitOut: Math.ceil(n / width) - 1,
    neighbours: n < width ? 1 : ratio(squares(beside), leastSquares(heats * (cars - 1), pairs)),
    carryOver: n < width ? 1 : ratio(squares(took), leastSquares(lanesTaken, 2 * pairs)),
    leastRested: rested(0),
  };
}

function grid(from: number, to: number, nth: number, draws: (drivers: number, width: number) => Cell): Cell[] {
  const cells: Cell[] = [];
  for (let width = 2; width <= 8; width += 1) {
    for (let n = from + ((width * 5) % nth); n <= to; n += nth) cells.push(draws(n, width));
  }
  return cells;
}

const share = (cells: readonly Cell[], holds: (cell: Cell) => boolean) => cells.filter(holds).length / cells.length;
const median = (list: readonly number[]) => list.toSorted((a, b) => a - b)[Math.floor(list.length / 2)] as number;
const percent = (part: number) => `${(100 * part).toFixed(1)} %`;

const pairsAtBound = (cell: Cell) => cell.pairs === cell.leastPairs;
const restAtBound = (cell: Cell) => cell.backToBack <= cell.leastBackToBack;

/** Prints the figures, and a row for each draw that misses a bound. */
function print(title: string, cells: readonly Cell[]): void {
  const contested = cells.filter(({ drivers, width }) => drivers > width);
  const figures = [
    `pairs at bound ${percent(share(contested, pairsAtBound))}`,
    `back-to-backs at bound ${percent(share(contested, restAtBound))}, within 1 ${percent(
      share(contested, (c) => c.backToBack <= c.leastBackToBack + 1),
    )}`,
    `sit-out within 3 ${percent(share(contested, (c) => c.sitOut <= c.leastSitOut + 3))}`,
    `median neighbours ${median(cells.map((c) => c.neighbours)).toFixed(3)}`,
    `median carry-over ${median(cells.map((c) => c.carryOver)).toFixed(3)}`,
    `CPU median ${median(cells.map((c) => c.cpuMs)).toFixed(0)} ms, most ${Math.max(...cells.map((c) => c.cpuMs)).toFixed(0)} ms`,
  ];
  const rows = contested.filter((c) => !pairsAtBound(c) || !restAtBound(c) || c.sitOut > c.leastSitOut + 3).map(row);
  console.log([`${title}: ${cells.length} draws`, ...figures, header, ...rows].join('\n'));
}

const header = 'drivers/lanes   pairs/least  spread  back-to-backs/least  sit-out/least  beside  carry-over  CPU ms';
const row = (c: Cell) =>
  [
    c.name.padEnd(13),
    `${c.pairs}/${c.leastPairs}`.padStart(13),
    String(c.spread).padStart(7),
    `${c.backToBack}/${c.leastBackToBack}`.padStart(20),
    `${c.sitOut}/${c.leastSitOut}`.padStart(14),
    c.neighbours.toFixed(2).padStart(7),
    c.carryOver.toFixed(2).padStart(11),
    c.cpuMs.toFixed(0).padStart(7),
  ].join(' ');

const minutes = 60_000;

test('opponents, 100 ms', { timeout: 10 * minutes }, () => {
  const cells = grid(2, 40, everyNth, (n, width) => drawn(n, width, 'opponents', 100));
  print('opponents, 100 ms', cells);
  const contested = cells.filter(({ drivers, width }) => drivers > width);
  expect(share(contested, pairsAtBound)).toBeGreaterThanOrEqual(0.9);
  expect(share(contested, restAtBound)).toBeGreaterThanOrEqual(0.85);
});

test('opponents, 1 s', { timeout: 20 * minutes }, () => {
  const cells = grid(2, 40, everyNth, (n, width) => drawn(n, width, 'opponents', 1000));
  print('opponents, 1 s', cells);
  const contested = cells.filter(({ drivers, width }) => drivers > width);
  const missed = contested.filter((c) => !pairsAtBound(c) && !hard.has(c.name) && !slow.has(c.name));
  expect(missed.map((c) => c.name)).toEqual([]);
  for (const cell of contested.filter(({ name }) => hard.has(name))) {
    expect(cell.spread, cell.name).toBeLessThanOrEqual(2);
    expect(cell.pairs / cell.leastPairs, cell.name).toBeLessThanOrEqual(cell.name === '33/6' ? 1.13 : 1.1);
  }
  expect(share(contested, (c) => c.backToBack <= c.leastBackToBack + 1)).toBeGreaterThanOrEqual(0.9);
  expect(share(contested, (c) => c.sitOut <= c.leastSitOut + 3)).toBeGreaterThanOrEqual(0.9);
  expect(median(cells.map((c) => c.neighbours))).toBeLessThanOrEqual(1.1);
  expect(median(cells.map((c) => c.carryOver))).toBeLessThanOrEqual(1.15);
});

test.each([...slow])('opponents, 2 s: %s', { timeout: 10_000 }, (name) => {
  const [n = 0, width = 0] = name.split('/').map(Number);
  const cell = drawn(n, width, 'opponents', 2000);
  print(`opponents, 2 s, ${name}`, [cell]);
  expect(cell.pairs).toBe(cell.leastPairs);
});

test('rest, 1 s', { timeout: 20 * minutes }, () => {
  const cells = grid(2, 40, everyNth, (n, width) => drawn(n, width, 'rest', 1000)).filter(
    ({ drivers, width }) => drivers >= 2 * width + 1,
  );
  const excess = (cell: Cell) => cell.pairs / cell.leastRested;
  const worst = cells.toSorted((a, b) => excess(b) - excess(a)).slice(0, 20);
  console.log(
    [
      `rest, 1 s: ${cells.length} draws of at least 2 x lanes + 1 drivers`,
      `none back to back ${percent(share(cells, (c) => c.backToBack === 0))}`,
      `pairs at most 1.15 x the least without back-to-backs ${percent(share(cells, (c) => excess(c) <= 1.15))}`,
      `proved best ${percent(share(cells, (c) => excess(c) === 1))}`,
      `the worst: ${worst.map((c) => `${c.name} ${excess(c).toFixed(2)}`).join(', ')}`,
    ].join('\n'),
  );
  expect(cells.filter((c) => c.backToBack > 0).map((c) => c.name)).toEqual([]);
  expect(share(cells, (c) => excess(c) <= 1.15)).toBeGreaterThanOrEqual(0.9);
});

test('more drivers, 1 s', { timeout: 10 * minutes }, () => {
  const cells = grid(41, 60, quick ? 19 : 4, (n, width) => drawn(n, width, 'opponents', 1000));
  print('41 to 60 drivers, opponents, 1 s', cells);
  expect(share(cells, pairsAtBound)).toBeGreaterThanOrEqual(0.75);
});
