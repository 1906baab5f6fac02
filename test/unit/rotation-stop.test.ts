import { expect, test } from 'vitest';
import { type DrawProgress, draw, drawing } from '../../server/rotation/draw.ts';
import { parseDrawRequest } from '../../server/rotation/request.ts';
import { drawRequest, type Rotation } from '../../server/rotation/rotation.ts';

const drivers = Array.from({ length: 17 }, (_, i) => i + 1);
const request = drawRequest({ drivers, lanes: 6, preset: 'opponents', seed: 3, budgetMs: 40 });

/** Everything a draw reports, with the best rotation it had reported by then. */
function reports(): { progress: DrawProgress; best: Rotation }[] {
  const found: { progress: DrawProgress; best: Rotation }[] = [];
  let best: Rotation | null = null;
  for (const progress of drawing(request)) {
    best = progress.better ?? best;
    if (best) found.push({ progress, best });
  }
  return found;
}

test('a search that is stopped at a progress gives what it had reported by then, whenever it is drawn', () => {
  const all = reports();
  expect(all.length).toBeGreaterThan(10);
  for (const at of [0, 3, Math.floor(all.length / 2), all.length - 1]) {
    const { done } = all[at]?.progress as DrawProgress;
    const upTo = all.findLast(({ progress }) => progress.done === done);
    expect(draw({ ...request, steps: done }), `stopped at ${done}`).toEqual(upTo?.best);
  }
  expect(all.some(({ best }) => JSON.stringify(best) !== JSON.stringify(all[0]?.best))).toBe(true);
});

test('a stop behind the end changes nothing, and a stored request keeps it', () => {
  expect(draw({ ...request, steps: 2 ** 31 })).toEqual(draw(request));
  const read = parseDrawRequest(JSON.parse(JSON.stringify({ ...request, steps: 77 })));
  expect(read.ok && read.request).toEqual({ ...request, steps: 77 });
});
