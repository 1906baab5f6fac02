import { expect, test } from 'vitest';
import { defaultLook } from '../../views/components/lane-defaults.ts';
import { colourDifference, colourWord, labOf, laneLook, lanesAlike } from '../../views/lane-look.ts';

test('L*a*b* of the sRGB primaries agrees with published values', () => {
  // Widely published for D65 and two decimals, for example in B. Lindbloom's colour calculator.
  const published: [string, number, number, number][] = [
    ['#ffffff', 100, 0, 0],
    ['#000000', 0, 0, 0],
    ['#ff0000', 53.24, 80.09, 67.2],
    ['#00ff00', 87.73, -86.18, 83.18],
    ['#0000ff', 32.3, 79.19, -107.86],
    ['#808080', 53.59, 0, 0],
  ];
  for (const [colour, ...lab] of published) {
    labOf(colour).forEach((value, i) => {
      expect(value, `${colour} ${i}`).toBeCloseTo(lab[i] as number, 1);
    });
  }
  expect(colourDifference('#ff0000', '#ff0000')).toBe(0);
  expect(colourDifference('#000000', '#ffffff')).toBeCloseTo(100, 2);
});

test('the lanes a track begins with are all told apart; a copied colour is reported', () => {
  const looks = Array.from({ length: 16 }, (_, i) => defaultLook(i + 1));
  expect(lanesAlike(looks)).toEqual([]);
  const [one, two, three] = looks as [(typeof looks)[0], (typeof looks)[0], (typeof looks)[0]];
  expect(lanesAlike([one, { ...two, colour: '#cf7cab' }, three])).toEqual([{ one: 1, other: 2 }]);
  expect(lanesAlike([one, two, { ...three, colour: one.colour }])).toEqual([]);
  expect(lanesAlike([one, two, { ...three, colour: one.colour, pattern: one.pattern }])).toEqual([
    { one: 1, other: 3 },
  ]);
});

test('every default colour keeps its word, and others get the nearest', () => {
  for (let n = 1; n <= 8; n += 1) expect(laneLook(defaultLook(n)).name).toBe(defaultLook(n).name);
  expect(colourWord('#ff0000')).toBe('red');
  expect(colourWord('#101010')).toBe('black');
  expect(colourWord('#9a9a9a')).toBe('grey');
  expect(colourWord('#ffe600')).toBe('yellow');
});
