import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { moveHeat, type PlannedHeat, type SeatPlace, stepHeat, swapSeats } from '../../server/rotation/reorder.ts';

interface Heat extends PlannedHeat<string> {
  id: string;
}
const heat = (id: string, seats: (string | null)[], more: Partial<Heat> = {}): Heat => ({
  id,
  seats,
  marshals: [],
  started: false,
  ...more,
});
const plan = [
  heat('h1', ['Ann', 'Bob'], { started: true }),
  heat('h2', ['Cid', 'Ann'], { marshals: ['Dot'] }),
  heat('h3', ['Bob', 'Cid']),
  heat('h4', ['Dot', null], { started: true }),
  heat('h5', [null, 'Dot']),
];
const ids = (result: { ok: boolean; heats?: Heat[] }) => result.heats?.map((one) => one.id);

describe('moveHeat and stepHeat', () => {
  it('move among the heats that wait and leave started ones where they are', () => {
    expect(ids(moveHeat(plan, 4, 1))).toEqual(['h1', 'h5', 'h2', 'h4', 'h3']);
    expect(ids(moveHeat(plan, 1, 4))).toEqual(['h1', 'h3', 'h5', 'h4', 'h2']);
    expect(ids(stepHeat(plan, 4, -1))).toEqual(['h1', 'h2', 'h5', 'h4', 'h3']);
    expect(ids(stepHeat(plan, 1, 1))).toEqual(['h1', 'h3', 'h2', 'h4', 'h5']);
  });

  it('say why not', () => {
    expect(moveHeat(plan, 0, 1)).toEqual({ ok: false, why: 'heat started' });
    expect(moveHeat(plan, 1, 3)).toEqual({ ok: false, why: 'heat started' });
    expect(moveHeat(plan, 1, 9)).toEqual({ ok: false, why: 'no such heat' });
    expect(stepHeat(plan, 1, -1)).toEqual({ ok: false, why: 'no such heat' });
    expect(stepHeat(plan, 0, 1)).toEqual({ ok: false, why: 'heat started' });
    expect(stepHeat(plan, 7, 1)).toEqual({ ok: false, why: 'no such heat' });
  });

  it('keep every heat, every started number and the wanted number', () => {
    const heats = fc.array(fc.boolean(), { minLength: 1, maxLength: 12 });
    fc.assert(
      fc.property(heats, fc.nat(11), fc.nat(11), (started, from, to) => {
        const before = started.map((flag, id) => ({ id, started: flag }));
        const result = moveHeat(before, from, to);
        if (!result.ok) {
          expect(before[from]?.started !== false || before[to]?.started !== false).toBe(true);
          return;
        }
        expect(result.heats[to]?.id).toBe(from);
        expect([...result.heats].sort((a, b) => a.id - b.id)).toEqual(before);
        for (const one of before) if (one.started) expect(result.heats[one.id]).toBe(one);
        const others = (list: typeof before) =>
          list.filter((one) => !one.started && one.id !== from).map((one) => one.id);
        expect(others(result.heats)).toEqual(others(before));
      }),
    );
  });
});

describe('swapSeats', () => {
  const swap = (a: SeatPlace, b: SeatPlace) => swapSeats<string, Heat>(plan, a, b);
  const seats = (result: ReturnType<typeof swap>) => (result.ok ? result.heats.map((h) => h.seats) : result);

  it('swaps within a heat, also with an empty lane', () => {
    expect(seats(swap({ heat: 1, lane: 0 }, { heat: 1, lane: 1 }))).toMatchObject({ 1: ['Ann', 'Cid'] });
    expect(seats(swap({ heat: 4, lane: 0 }, { heat: 4, lane: 1 }))).toMatchObject({ 4: ['Dot', null] });
  });

  it('swaps between heats when both stay legal', () => {
    expect(seats(swap({ heat: 1, lane: 1 }, { heat: 2, lane: 0 }))).toMatchObject({
      1: ['Cid', 'Bob'],
      2: ['Ann', 'Cid'],
    });
  });

  it('says why not', () => {
    const why = (a: [number, number], b: [number, number]) =>
      swap({ heat: a[0], lane: a[1] }, { heat: b[0], lane: b[1] });
    expect(why([1, 1], [2, 1])).toEqual({ ok: false, why: 'twice in a heat' });
    expect(why([1, 0], [2, 0])).toEqual({ ok: false, why: 'twice in a heat' });
    expect(why([1, 0], [4, 1])).toEqual({ ok: false, why: 'marshals that heat' });
    expect(why([0, 0], [1, 0])).toEqual({ ok: false, why: 'heat started' });
    expect(why([1, 0], [8, 0])).toEqual({ ok: false, why: 'no such heat' });
    expect(why([1, 0], [2, 5])).toEqual({ ok: false, why: 'no such lane' });
    expect(why([1, 0], [2, 1])).toEqual({ ok: false, why: 'nobody to move' });
  });
});
