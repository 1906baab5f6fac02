import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { hermite, monotoneSlopes, pointsCurve } from '../../server/profiles/model/curve.ts';
import type { CurvePoint } from '../../server/profiles/model/profile.ts';

/**
 * The throttle curve through points against figures from outside: data and results of RPN 14 as in the NAG E01BEF example
 * program and SciPy's test of it, and curves worked out with SciPy.
 */
const folder = new URL('./data/controller/', import.meta.url);
const read = <T>(name: string): T => JSON.parse(readFileSync(new URL(name, folder), 'utf8'));

interface References {
  checks: { id: string; value: unknown; note?: string }[];
}
const { checks } = read<References>('references.json');
const valueOf = <T>(id: string) => {
  const found = checks.find((check) => check.id === id);
  if (!found) throw new Error(`no check ${id}`);
  return found.value as T;
};

describe('RPN 14', () => {
  const data = valueOf<[number, number][]>('rpn14-data');
  const x = data.map(([at]) => at);
  const y = data.map(([, value]) => value);
  const asked = [9.191, 10.392, 11.593, 12.794, 13.995];

  it('has the values of the 1984 interpolant with the slopes of 1984: proves the evaluation', () => {
    const { value } = hermite(x, y, harmonicSlopes(x, y));
    const expected = valueOf<number[]>('rpn14-1984');
    asked.forEach((at, i) => {
      expect(Math.abs(value(at) - (expected[i] as number))).toBeLessThanOrEqual(5e-5);
    });
  });

  it('has the values and slopes of the 1980 rule', () => {
    const slopes = monotoneSlopes(x, y);
    const { value } = hermite(x, y, slopes);
    const expected = valueOf<number[]>('rpn14-1980');
    asked.forEach((at, i) => {
      expect(Math.abs(value(at) - (expected[i] as number))).toBeLessThanOrEqual(1e-6);
    });
    const note = checks.find(({ id }) => id === 'rpn14-1980')?.note ?? '';
    const stated = note.replace('node slopes ', '').split(', ').map(Number);
    expect(stated).toHaveLength(x.length);
    stated.forEach((slope, i) => {
      expect(Math.abs((slopes[i] as number) / slope - 1)).toBeLessThan(1e-6);
    });
  });

  it('tells the two rules apart', () => {
    const [old, young] = [hermite(x, y, monotoneSlopes(x, y)), hermite(x, y, harmonicSlopes(x, y))];
    expect(old.value(10.392) - young.value(10.392)).toBeGreaterThan(5e-3);
  });
});

describe('curves of SciPy', () => {
  const { at, curves } = read<{ at: number[]; curves: { points: CurvePoint[]; values: number[]; slopes: number[] }[] }>(
    'curves.json',
  );

  it('have the same values and slopes', () => {
    expect(curves).toHaveLength(60);
    for (const { points, values, slopes } of curves) {
      const curve = pointsCurve(points);
      at.forEach((u, i) => {
        expect(Math.abs(curve.value(u) - (values[i] as number))).toBeLessThan(1e-13);
        expect(Math.abs(curve.slope(u) - (slopes[i] as number))).toBeLessThan(1e-11);
      });
    }
  });
});

/**
 * Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304: weighted harmonic mean of the neighbouring secants;
 * at the ends the three-point formula, held to the sign of the secant and three times its size, as PCHIM has it.
 */
function harmonicSlopes(x: readonly number[], y: readonly number[]): number[] {
  const h = x.slice(1).map((next, i) => next - (x[i] as number));
  const d = h.map((width, i) => ((y[i + 1] as number) - (y[i] as number)) / width);
  const end = (h0: number, h1: number, d0: number, d1: number) => {
    const slope = ((2 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
    if (slope * d0 <= 0) return 0;
    return d0 * d1 < 0 && Math.abs(slope) > 3 * Math.abs(d0) ? 3 * d0 : slope;
  };
  const of = (list: readonly number[], i: number) => list.at(i) as number;
  const inner = d.slice(1).map((after, i) => {
    const before = of(d, i);
    if (before * after <= 0) return 0;
    const [w1, w2] = [2 * of(h, i + 1) + of(h, i), of(h, i + 1) + 2 * of(h, i)];
    return (w1 + w2) / (w1 / before + w2 / after);
  });
  return [end(of(h, 0), of(h, 1), of(d, 0), of(d, 1)), ...inner, end(of(h, -1), of(h, -2), of(d, -1), of(d, -2))];
}
