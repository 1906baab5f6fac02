import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { draftChanges } from '../../server/rotation/draft-changes.ts';
import { draw, drawing } from '../../server/rotation/draw.ts';
import { queueHeats } from '../../server/rotation/queue.ts';
import { repairTask } from '../../server/rotation/repair.ts';
import {
  type DrawRequest,
  type Driver,
  drawRequest,
  type Rotation,
  type Seat,
} from '../../server/rotation/rotation.ts';
import { announcedNight } from '../../server/rotation/search/needs-announced.ts';
import { betterChoice, choiceOf } from '../../server/rotation/search/needs-choice.ts';
import { searchNeeds } from '../../server/rotation/search/needs-search.ts';
import type { DrawTask, Seats } from '../../server/rotation/search/task.ts';

const names = (n: number) => Array.from({ length: n }, (_, i) => `d${i + 1}`);
const lou = [{ driver: 'Lou', runsPerLane: 1 }];

/** A night drawn well of which the first heats were run and all others announced. */
function begun(drivers: number, lanes: number, ran: number, preset: DrawRequest['preset'] = 'opponents') {
  const night = drawRequest({ drivers: names(drivers), lanes, preset, budgetMs: 300 });
  const { heats } = draw(night);
  const request = { ...night, done: heats.slice(0, ran), published: heats.slice(ran) };
  const ridden = new Set<Seat>(request.done.flat());
  return { request, fresh: names(drivers).find((driver) => !ridden.has(driver)) as Driver };
}

/** Who notices that a repair takes the place of the announced heats, and in how many runs. */
function changesFor(request: DrawRequest, { heats }: Rotation) {
  const numbered = (rows: readonly (readonly Seat[])[]) => rows.map((seats, h) => ({ ordinal: h + 1, seats }));
  const everybody = [...request.drivers, ...request.join.map((late) => late.driver)];
  return draftChanges(everybody, numbered(request.published), numbered(heats));
}
const runsChanged = (request: DrawRequest, rotation: Rotation) =>
  changesFor(request, rotation).reduce((sum, { changes }) => sum + changes.length, 0);

function taskOf(request: DrawRequest): DrawTask {
  const answer = repairTask(request);
  if (!answer.ok) throw new Error(answer.problem.code);
  return answer.repair.task;
}

describe('a repair is calm', () => {
  test('nothing changes where nothing happened', () => {
    for (const preset of ['opponents', 'rest', 'balanced'] as const) {
      const { request } = begun(13, 4, 2, preset);
      expect(draw(request).heats, preset).toEqual(request.published);
    }
  });

  test('who comes takes the seats of who left: nobody else notices', () => {
    for (const preset of ['opponents', 'rest', 'balanced'] as const) {
      const { request, fresh } = begun(13, 4, 2, preset);
      const asked = { ...request, leave: [fresh], join: lou };
      const expected = request.published.map((row) => row.map((seat) => (seat === fresh ? 'Lou' : seat)));
      expect(draw(asked).heats, preset).toEqual(expected);
      // From the first look on.
      expect(drawing(asked).next().value).toMatchObject({ better: { heats: expected } });
    }
  });

  test.each([
    ['somebody leaves', { leaves: true, join: [] }],
    ['somebody comes', { leaves: false, join: lou }],
  ])('%s: as even as drawn anew, with fewer changes', (_, { leaves, join }) => {
    const { request, fresh } = begun(13, 4, 2);
    const asked = { ...request, leave: leaves ? [fresh] : [], join };
    const calm = draw(asked);
    const anew = draw({ ...asked, published: request.published.slice(0, 1) });
    const figures = ({ certificate: { opponents, backToBack } }: Rotation) => [opponents.sumSquares, backToBack.count];
    expect(figures(calm)).toEqual(figures(anew));
    expect(runsChanged(asked, calm)).toBeLessThan(runsChanged(asked, anew));
  });
});

describe('the start beside the announced plan', () => {
  const startOf = (request: DrawRequest) => {
    const task = taskOf(request);
    const start = announcedNight(task);
    if (start === null) throw new Error('nothing was announced');
    return choiceOf(task, start.night.seats.slice(task.done.length * task.lanes.length));
  };

  it('moves only who must move', () => {
    const { request, fresh } = begun(13, 4, 2);
    expect(startOf(request).changedSeats).toBe(0);
    // Ten heats are left: whoever drives in the eleventh takes the seats that are free now.
    expect(startOf({ ...request, leave: [fresh] }).changedSeats).toBe(0);
    // Eleven full heats, and one more: three who make room for Lou drive there, her fourth run is there.
    expect(startOf({ ...request, join: lou }).changedSeats).toBe(3);
  });

  it('is legal whatever was announced', () => {
    const nights = fc.record({
      n: fc.integer({ min: 2, max: 12 }),
      lanes: fc.integer({ min: 1, max: 5 }),
      ran: fc.nat(10),
      skipped: fc.nat(3),
      leaving: fc.nat(2),
      joining: fc.nat(2),
      carsPerHeat: fc.option(fc.integer({ min: 1, max: 5 })),
      broken: fc.boolean(),
    });
    fc.assert(
      fc.property(nights, ({ n, lanes, ran, skipped, leaving, joining, carsPerHeat, broken }) => {
        const plan = drawRequest({ drivers: names(n), lanes, carsPerHeat });
        const heats = queueHeats(plan);
        const task = taskOf({
          ...plan,
          done: heats.slice(0, ran),
          published: heats.slice(ran + skipped).reverse(),
          leave: names(Math.min(leaving, n - 1)),
          join: lou.slice(0, joining),
          lanesOut: broken && lanes > 1 ? [1] : [],
          preset: 'opponents',
        });
        const start = announcedNight(task);
        if (start === null) {
          expect(task.published).toEqual([]);
          return;
        }
        const { night, from } = start;
        const width = task.lanes.length;
        const rows = Array.from({ length: task.heats }, (_, h) => [
          ...night.seats.subarray((task.done.length + h) * width, (task.done.length + h + 1) * width),
        ]);
        for (const [d, needs] of (task.needs ?? []).entries()) {
          for (const [l, runs] of needs.entries()) expect(rows.filter((row) => row[l] === d)).toHaveLength(runs);
        }
        for (const row of rows) {
          const driving = row.filter((driver) => driver >= 0);
          expect(new Set(driving).size).toBe(driving.length);
        }
        const sizes = rows.slice(from - task.done.length).map((row) => row.filter((driver) => driver >= 0).length);
        if (sizes.length > 0) expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
      }),
      { numRuns: 300 },
    );
  });
});

test('what is reported is preferred to all before, and the end to all reported', () => {
  const { request, fresh } = begun(13, 4, 3);
  const task = taskOf({ ...request, leave: [fresh] });
  const reported: Seats[] = [];
  const search = searchNeeds(task);
  for (;;) {
    const step = search.next();
    const better = step.done ? step.value : step.value.better;
    if (better !== null && better !== reported.at(-1)) reported.push(better);
    if (step.done) break;
  }
  expect(reported.length).toBeGreaterThan(1);
  for (const [i, seats] of reported.entries()) {
    if (i > 0) expect(betterChoice(task, choiceOf(task, seats), choiceOf(task, reported[i - 1] as Seats))).toBe(true);
  }
});

describe('of two plans', () => {
  const { request } = begun(8, 3, 2);
  const task = taskOf(request);
  const announced = choiceOf(task, Int16Array.from(task.published.flat()));
  const width = task.lanes.length;

  it('the announced one changes nothing', () => expect(announced.changedSeats).toBe(0));

  it('the one with fewer changes wins where meetings and rest are alike', () => {
    const swapped = announced.seats.slice();
    const [a, b] = [swapped[width] as number, swapped[width + 1] as number];
    swapped.set([b, a], width);
    const other = choiceOf(task, swapped);
    expect(other).toMatchObject({ main: announced.main, changedSeats: 2 });
    expect(betterChoice(task, announced, other)).toBe(true);
    expect(betterChoice(task, other, announced)).toBe(false);
  });

  it('a gain in meetings or rest is worth any change', () => {
    const less = { ...announced, main: announced.main - 1, changedSeats: 18 };
    expect(betterChoice(task, less, announced)).toBe(true);
    expect(betterChoice(task, announced, less)).toBe(false);
  });

  it('neither is better than itself', () => expect(betterChoice(task, announced, announced)).toBe(false));
});
