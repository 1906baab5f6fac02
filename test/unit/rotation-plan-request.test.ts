import { describe, expect, test } from 'vitest';
import { draftChanges } from '../../server/rotation/draft-changes.ts';
import { draw } from '../../server/rotation/draw.ts';
import {
  type DrawChoices,
  type DrawPlan,
  heatsInTime,
  heatsNeeded,
  type PlanHeat,
  planRequest,
} from '../../server/rotation/plan-request.ts';
import { problemOf } from '../../server/rotation/request-check.ts';
import { drawRequest, type Seat } from '../../server/rotation/rotation.ts';

const names = ['a', 'b', 'c', 'd', 'e'];
const choices: DrawChoices = {
  aim: 'opponents',
  method: 'search',
  runsPerLane: 1,
  mostHeats: null,
  more: false,
  carsPerHeat: null,
  marshals: 1,
  everyoneMarshals: false,
  lanesOut: [],
  laneOrder: [1, 3, 4, 2],
  order: 'signUp',
  format: 'lanes',
  groups: 1,
  split: 'lot',
  budgetMs: 0,
  lateRuns: null,
  seed: 7,
};

type Entry = Partial<DrawPlan['entries'][number]>;
const entry = (id: string, more: Entry = {}) => ({ id, withdrawn: false, marshals: true, groupNo: null, ...more });
const heat = (ordinal: number, seats: readonly Seat[], more: Partial<PlanHeat> = {}): PlanHeat => ({
  id: `h${ordinal}`,
  ordinal,
  seats,
  marshals: [],
  stage: 'planned',
  reruns: null,
  ...more,
});
const planOf = (heats: readonly PlanHeat[] = [], more: Partial<DrawPlan> = {}): DrawPlan => ({
  lanes: [1, 2, 3, 4],
  entries: names.map((id) => entry(id)),
  heats,
  pace: null,
  fewerRuns: new Map(),
  ...more,
});
const requestOf = (plan: DrawPlan, more: Partial<DrawChoices> = {}) => {
  const planned = planRequest(plan, { ...choices, ...more });
  if (!planned) throw new Error('nobody is here');
  expect(problemOf(planned.request, null)).toBeNull();
  return planned;
};

describe('a first draw', () => {
  test('is of everybody who is here; who does not marshal is exempt', () => {
    const entries = [entry('a'), entry('b', { withdrawn: true }), entry('c', { marshals: false }), entry('d')];
    const { request, kept, goes } = requestOf(planOf([], { entries }));
    expect(request).toEqual(
      drawRequest({
        drivers: ['a', 'c', 'd'],
        lanes: 4,
        laneOrder: [1, 3, 4, 2],
        marshals: 1,
        exempt: ['c'],
        preset: 'opponents',
        seed: 7,
        budgetMs: 0,
      }),
    );
    expect([kept, goes]).toEqual([[], []]);
    expect(requestOf(planOf([], { entries }), { everyoneMarshals: true }).request.exempt).toEqual([]);
    expect(planRequest(planOf([], { entries: [entry('a', { withdrawn: true })] }), choices)).toBeNull();
  });

  test('by lot the order follows the seed alone', () => {
    const order = (seed: number) => requestOf(planOf(), { order: 'lot', seed }).request.drivers;
    expect(order(1)).toEqual(order(1));
    expect([...order(1)].sort()).toEqual(names);
    expect(new Set([1, 2, 3, 4, 5, 6].map((seed) => order(seed).join())).size).toBeGreaterThan(1);
  });

  test('lanes: those of the track that are in use, gaps and all', () => {
    const { request } = requestOf(planOf([], { lanes: [1, 2, 4] }), { lanesOut: [2], laneOrder: [4] });
    expect(request).toMatchObject({ lanes: 4, lanesOut: [2, 3], laneOrder: [4, 1] });
  });

  test('a cap on the heats counts only where it is one', () => {
    // Five drivers on four lanes need five heats.
    expect(requestOf(planOf(), { mostHeats: 5 }).request.heats).toBeNull();
    expect(requestOf(planOf(), { mostHeats: 4 }).request).toMatchObject({ heats: 4, runsPerLane: 1 });
    expect(requestOf(planOf(), { mostHeats: 7, runsPerLane: 2 }).request).toMatchObject({ heats: 7, runsPerLane: 1 });
  });

  test('groups by pace: the fastest race last', () => {
    const pace = ['e', 'd', 'c', 'b', 'a'];
    const { request } = requestOf(planOf([], { pace }), { groups: 2, split: 'pace' });
    expect(request.groups).toEqual([
      ['c', 'b', 'a'],
      ['e', 'd'],
    ]);
    expect(requestOf(planOf([], { pace }), { groups: 2 }).request.groups).toBe(2);
    expect(requestOf(planOf(), { groups: 2, split: 'pace' }).request.groups).toBe(2);
  });

  test('pairs meet on both lanes, or once where there is time for no more', () => {
    const plan = planOf([], { lanes: [1, 2] });
    const pairs = { format: 'pairs', laneOrder: [1, 2] } as const;
    expect(requestOf(plan, pairs).request.heats).toBeNull();
    expect(heatsNeeded(requestOf(plan, pairs).request)).toBe(20);
    for (const mostHeats of [10, 15, 19]) expect(requestOf(plan, { ...pairs, mostHeats }).request.heats).toBe(10);
  });
});

describe('what is left of a night', () => {
  const rows: Seat[][] = [
    ['a', 'b', 'c', 'd'],
    ['b', 'c', 'd', 'e'],
    ['c', 'd', 'e', 'a'],
    ['d', 'e', 'a', 'b'],
    ['e', 'a', 'b', 'c'],
  ];
  const begun = (stages: readonly PlanHeat['stage'][]) =>
    rows.map((seats, h) => heat(h + 1, seats, { stage: stages[h] ?? 'planned' }));

  test('keeps what was armed or run; the heats to come are announced', () => {
    const { request, kept, goes } = requestOf(planOf(begun(['run', 'armed'])));
    expect(request).toMatchObject({
      drivers: names,
      done: rows.slice(0, 2),
      published: rows.slice(2),
      leave: [],
      join: [],
    });
    expect(kept.map((one) => one.id)).toEqual(['h1', 'h2']);
    expect(goes.map((one) => one.id)).toEqual(['h3', 'h4', 'h5']);
    // Three heats are left, and the engine keeps the next one.
    expect(heatsNeeded(request)).toBe(3);
    expect(draw(request).heats[0]).toEqual(rows[2]);
  });

  test('a void heat does not count; a heat that runs it again stays and does', () => {
    const heats = [...begun(['void', 'run']), heat(6, rows[0] as Seat[], { reruns: 'h1' })];
    const { request, kept } = requestOf(planOf(heats));
    expect(request.done).toEqual([rows[1], rows[0]]);
    expect(kept.map((one) => one.id)).toEqual(['h1', 'h2', 'h6']);
    expect(requestOf(planOf(begun(['void']))).request.done).toEqual([]);
  });

  test('who left is named, also where only heats to come know them', () => {
    const gone = (ids: readonly string[]) => names.map((id) => entry(id, { withdrawn: ids.includes(id) }));
    expect(requestOf(planOf(begun(['run']), { entries: gone(['e']) })).request).toMatchObject({
      drivers: ['a', 'b', 'c', 'd', 'e'],
      leave: ['e'],
    });
    const six = [
      heat(1, rows[0] as Seat[], { stage: 'run' }),
      heat(2, rows[1] as Seat[]),
      heat(3, ['b', 'c', 'd', 'f']),
    ];
    const entries = [...names.map((id) => entry(id)), entry('f', { withdrawn: true }), entry('g', { withdrawn: true })];
    expect(requestOf(planOf(six, { entries })).request.leave).toEqual(['f']);
  });

  test('who comes late joins for fewer runs where that is wished, now and in draws to come', () => {
    const entries = [...names.map((id) => entry(id)), entry('f')];
    const plan = planOf(begun(['run']), { entries });
    expect(requestOf(plan).late).toEqual(['f']);
    expect(requestOf(plan).request).toMatchObject({ drivers: [...names, 'f'], join: [] });
    const twice = { runsPerLane: 2, lateRuns: 1 };
    expect(requestOf(plan, twice).request).toMatchObject({ drivers: names, join: [{ driver: 'f', runsPerLane: 1 }] });
    const drawn = [...begun(['run']), heat(6, ['f', null, null, null])];
    const later = planOf(drawn, { entries, fewerRuns: new Map([['f', 1]]) });
    expect(requestOf(later, { runsPerLane: 2 }).request.join).toEqual([{ driver: 'f', runsPerLane: 1 }]);
    expect(requestOf(later, { runsPerLane: 1 }).request.join).toEqual([]);
  });

  test('one heat more asks for one more than needed, less time for as many as there is time for', () => {
    const plan = planOf(begun(['run', 'run']));
    expect(requestOf(plan, { more: true }).request.heats).toBe(4);
    expect(requestOf(plan, { mostHeats: 2 }).request).toMatchObject({ heats: 2, runsPerLane: 1 });
    expect(requestOf(plan, { mostHeats: 3, more: true }).request.heats).toBeNull();
  });

  test('of pairs only the next heat is announced: the table gives the order of the others', () => {
    const heats = [heat(1, ['a', 'b'], { stage: 'run' }), heat(2, ['c', 'd']), heat(3, ['a', 'c'])];
    const pairs = requestOf(planOf(heats, { lanes: [1, 2] }), { format: 'pairs', laneOrder: [1, 2] });
    expect(pairs.request.published).toEqual([['c', 'd']]);
  });

  test('groups stay as they were split', () => {
    const entries = names.map((id, i) => entry(id, { groupNo: i < 2 ? 2 : 1 }));
    const heats = [heat(1, ['c', 'd', 'e', null], { stage: 'run' }), heat(2, ['a', 'b', null, null])];
    expect(requestOf(planOf(heats, { entries }), { groups: 3 }).request.groups).toEqual([
      ['c', 'd', 'e'],
      ['a', 'b'],
    ]);
  });
});

test('how many heats fit into a time', () => {
  // Three minutes of racing and two between heats: twelve to the hour.
  expect([60, 59, 5, 4].map((minutes) => heatsInTime(minutes, 180_000, 120_000))).toEqual([12, 11, 1, 0]);
});

test('what changes for whom: the same heat first, then what is left in its order', () => {
  const before = [
    { ordinal: 8, seats: ['a', 'b', null] },
    { ordinal: 9, seats: ['c', null, 'b'] },
    { ordinal: 10, seats: ['d', 'a', null] },
  ];
  const after = [
    { ordinal: 8, seats: ['b', null, 'c'] },
    { ordinal: 9, seats: [null, 'e', 'a'] },
    { ordinal: 10, seats: ['d', 'a', null] },
  ];
  expect(draftChanges(['a', 'b', 'c', 'd', 'e'], before, after)).toEqual([
    { driver: 'a', changes: [{ from: { heat: 8, lane: 1 }, to: { heat: 9, lane: 3 } }] },
    {
      driver: 'b',
      changes: [
        { from: { heat: 8, lane: 2 }, to: { heat: 8, lane: 1 } },
        { from: { heat: 9, lane: 3 }, to: null },
      ],
    },
    { driver: 'c', changes: [{ from: { heat: 9, lane: 1 }, to: { heat: 8, lane: 3 } }] },
    { driver: 'e', changes: [{ from: null, to: { heat: 9, lane: 2 } }] },
  ]);
});
