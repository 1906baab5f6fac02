import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { draw } from '../../server/rotation/draw.ts';
import { bergerRounds } from '../../server/rotation/pairs.ts';
import { drawRequest } from '../../server/rotation/rotation.ts';

// Source: FIDE Handbook, C.05 Annex 1 (Berger tables); rows in test/reference/data/rotation/published.json.

interface Published {
  id: string;
  params: { drivers: number; table?: string[] };
}

const published = JSON.parse(
  readFileSync(new URL('data/rotation/published.json', import.meta.url), 'utf8'),
) as Published[];
const tables = published.filter((entry) => entry.id.startsWith('berger-'));

describe('Berger tables', () => {
  it('has tables to compare', () => expect(tables.map((entry) => entry.id)).toEqual(['berger-6', 'berger-8']));

  it.each(tables)('$id comes out row by row', ({ params }) => {
    const rows = bergerRounds(params.drivers).map((round) => round.map((pairing) => pairing.join('-')).join(' '));
    expect(rows).toEqual(params.table);
  });

  it.each(tables)('$id is the first leg of pairs, the second has lanes swapped', ({ params }) => {
    const rows = (params.table ?? []).flatMap((row) => row.split(' ').map((pairing) => pairing.split('-').map(Number)));
    const drivers = Array.from({ length: params.drivers }, (_, i) => i + 1);
    const { heats } = draw(drawRequest({ drivers, lanes: 2, format: 'pairs' }));
    expect(heats).toEqual([...rows, ...rows.map(([a, b]) => [b, a])]);
  });

  it.each([2, 3, 4, 5, 7, 11, 20, 33])('%i drivers: everyone meets everyone once, nobody twice in a round', (n) => {
    const rounds = bergerRounds(n);
    expect(rounds).toHaveLength(n % 2 === 0 ? n - 1 : n);
    for (const round of rounds) expect(new Set(round.flat()).size).toBe(2 * Math.floor(n / 2));
    const met = rounds.flat().map(([a, b]) => `${Math.min(a, b)}-${Math.max(a, b)}`);
    expect(met).toHaveLength((n * (n - 1)) / 2);
    expect(new Set(met).size).toBe(met.length);
    expect(Math.max(...rounds.flat(2))).toBe(n);
  });

  // As the tables say: with n even everybody has the first lane n/2 or n/2 - 1 times.
  it.each([4, 6, 8, 12, 20])('%i drivers have both lanes equally often, give or take one', (n) => {
    const first = bergerRounds(n)
      .flat()
      .map(([a]) => a);
    for (let driver = 1; driver <= n; driver++) {
      expect([n / 2 - 1, n / 2]).toContain(first.filter((one) => one === driver).length);
    }
  });
});
