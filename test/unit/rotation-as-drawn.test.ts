import { describe, expect, test } from 'vitest';
import { isAsDrawn, withDrawnVerdicts } from '../../server/rotation/as-drawn.ts';
import { draw } from '../../server/rotation/draw.ts';
import { planFairness } from '../../server/rotation/plan-fairness.ts';
import { drawRequest, type Rotation, type Seat } from '../../server/rotation/rotation.ts';

const drivers = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h', 'i'];
const request = drawRequest({ drivers, lanes: 4, marshals: 1, preset: 'opponents', seed: 3, budgetMs: 100 });
const drawn = draw(request);
/** As a database gives it back. */
const stored = JSON.parse(JSON.stringify(drawn.certificate)) as Rotation['certificate'];
const measure = (heats: readonly (readonly Seat[])[]) => {
  const plan = heats.map((seats, h) => ({ seats, marshals: drawn.marshals[h] ?? [] }));
  const fairness = planFairness(drivers, plan, 1);
  if (!fairness) throw new Error('nobody is on the plan');
  return fairness.certificate;
};

describe('a plan beside its draw', () => {
  test('is as drawn, and has the verdicts of the draw', () => {
    const measured = measure(drawn.heats);
    expect(Object.values(measured).some(({ why }) => why === 'by hand')).toBe(true);
    expect(isAsDrawn(measured, stored)).toBe(true);
    expect(withDrawnVerdicts(measured, stored)).toEqual(drawn.certificate);
  });

  test('is not any more when two drivers swap their heats on a lane', () => {
    let changed = 0;
    let tried = 0;
    for (const [h, one] of drawn.heats.entries()) {
      for (const [k, other] of drawn.heats.entries()) {
        const [mine, theirs] = [one[0] ?? null, other[0] ?? null];
        if (k <= h || other.includes(mine) || one.includes(theirs)) continue;
        tried += 1;
        const heats = drawn.heats.map((seats, at) =>
          at === h ? [theirs, ...seats.slice(1)] : at === k ? [mine, ...seats.slice(1)] : seats,
        );
        if (!isAsDrawn(measure(heats), stored)) changed += 1;
      }
    }
    expect(tried).toBeGreaterThan(5);
    expect(changed).toBe(tried);
  });

  test('a criterion with other figures keeps its own verdict', () => {
    const measured = measure(drawn.heats);
    const longer = { ...stored, sitOut: { ...stored.sitOut, longest: stored.sitOut.longest + 1 } };
    expect(isAsDrawn(measured, longer)).toBe(true);
    expect(withDrawnVerdicts(measured, longer).sitOut).toEqual(measured.sitOut);
  });
});
