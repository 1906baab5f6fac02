import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readLength } from '../../server/meetings/length.ts';
import { countTries } from '../../server/meetings/tries.ts';
import { type HeatMark, heatStage, stageHeats } from '../../server/rotation/heat-stage.ts';
import { heatLength } from '../../views/format.ts';

describe('a length of time as it is typed', () => {
  test.each([
    ['180', 180_000],
    ['3:00', 180_000],
    [' 2:30.5 ', 150_500],
    ['2:30,25', 150_250],
    ['90:00', 5_400_000],
    ['1:00:00', 3_600_000],
    ['0:05', 5000],
  ])('%s', (typed, ms) => {
    expect(readLength(typed)).toBe(ms);
  });

  test.each(['', '3:0', '1:75', '3 min', '-3', '1e3', '1:00:99', '1:75:00', '3:00.1234', ':30', '٣'])(
    'not %j',
    (typed) => {
      expect(readLength(typed)).toBeNull();
    },
  );

  test('is read back from how it is shown', () => {
    fc.assert(fc.property(fc.integer({ min: 0, max: 90_000_000 }), (ms) => readLength(heatLength(ms)) === ms));
  });
});

describe('tries', () => {
  test('are spent within the window and come back one by one', () => {
    const tries = countTries(2, 1000);
    tries.note('a', 0);
    tries.note('a', 600);
    expect(tries.spent('a', 999)).toBe(true);
    expect(tries.spent('b', 999)).toBe(false);
    expect(tries.spent('a', 1000)).toBe(false);
    tries.note('a', 1000);
    expect(tries.spent('a', 1599)).toBe(true);
    expect(tries.spent('a', 1600)).toBe(false);
  });

  test('of a flood of sources do not fill the memory, and the newest are remembered', () => {
    const tries = countTries(1, 1_000_000);
    for (let i = 0; i < 10_001; i += 1) tries.note(`s${i}`, i);
    expect(tries.spent('s10000', 10_001)).toBe(true);
    expect(tries.spent('s0', 10_001)).toBe(false);
  });
});

describe('the stage of a heat', () => {
  const marks = (...kinds: (HeatMark['kind'] | number)[]): HeatMark[] =>
    kinds.map((kind, i) => ({
      heatId: 'h1',
      n: i + 1,
      kind: typeof kind === 'number' ? 'undo' : kind,
      target: typeof kind === 'number' ? JSON.stringify({ n: kind }) : null,
    }));

  test('goes from planned to armed to run, and to void and back', () => {
    expect(heatStage([])).toBe('planned');
    expect(heatStage(marks('arm', 'arm'))).toBe('armed');
    expect(heatStage(marks('arm', 'start'))).toBe('run');
    expect(heatStage(marks('arm', 'start', 'void'))).toBe('void');
    expect(heatStage(marks('arm', 'start', 'void', 3))).toBe('run');
    expect(heatStage(marks('arm', 'start', 'void', 3, 4))).toBe('void');
    expect(heatStage(marks('arm', 'start', 'void', 'void', 4))).toBe('void');
  });

  test('is told for each heat on the plan', () => {
    const heats = [
      { id: 'h2', removedAt: null },
      { id: 'h1', removedAt: null },
      { id: 'h3', removedAt: new Date(0) },
    ];
    expect(stageHeats(heats, marks('arm', 'start')).map(({ id, stage }) => [id, stage])).toEqual([
      ['h2', 'planned'],
      ['h1', 'run'],
    ]);
  });
});
