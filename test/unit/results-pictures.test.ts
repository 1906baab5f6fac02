import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readLog } from '../../server/archive/log-read.ts';
import { countMeeting } from '../../server/results/count.ts';
import { quantile } from '../../server/results/lap-spread.ts';
import { type MeetingReport, meetingReport } from '../../server/results/report.ts';

// Facts to draw from: the recorded nights and cases. Places and scores of races in them come from two separate
// implementations of the counting rules (test/reference/data/nights/README.md).
const data = fileURLToPath(new URL('../reference/data/nights/', import.meta.url));
const reports = ['cases', 'nights'].flatMap((folder) =>
  readdirSync(data + folder)
    .filter((file) => file.endsWith('.jsonl'))
    .map((file): [string, MeetingReport] => {
      const { facts } = readLog(readFileSync(`${data}${folder}/${file}`));
      if (!facts) throw new Error(`${file} was refused`);
      return [file, meetingReport(facts, countMeeting(facts), () => true)];
    }),
);
const races = reports.flatMap(([file, { races }]) => races.map((race) => ({ file, ...race })));
const heats = races.flatMap((race) => race.heats.map((heat) => ({ file: race.file, ...heat })));

describe('quantile', () => {
  // The values of 1 to 10 and of 1 to 9 by definition 7 of Hyndman and Fan (1996), as R prints them for
  // quantile(1:10) and quantile(1:9); here in hundredths.
  it.each([
    [10, [100, 325, 550, 775, 1000]],
    [9, [100, 300, 500, 700, 900]],
  ])('of 1 to %i', (n, expected) => {
    const values = Array.from({ length: n }, (_, i) => (i + 1) * 100);
    expect([0, 0.25, 0.5, 0.75, 1].map((p) => quantile(values, p))).toEqual(expected);
  });

  it('of one value is that value, and always lies between two of them', () => {
    expect(quantile([7], 0.25)).toBe(7);
    fc.assert(
      fc.property(fc.array(fc.nat(1e7), { minLength: 1 }), fc.double({ min: 0, max: 1, noNaN: true }), (values, p) => {
        const sorted = values.sort((a, b) => a - b);
        expect(quantile(sorted, p)).toBeGreaterThanOrEqual(sorted[0] as number);
        expect(quantile(sorted, p)).toBeLessThanOrEqual(sorted.at(-1) as number);
      }),
    );
  });
});

describe('place after each lap', () => {
  it('is the order in which a lap was completed, each lap by itself', () => {
    let laps = 0;
    for (const { file, state, result, chart } of heats) {
      const ends = new Map(state.lanes.map(({ rules, laps }) => [rules.entry, laps.toArray()]));
      const byHand = new Set(result.filter((row) => row.byHand).map(({ entry }) => entry));
      for (const { entry, places } of chart) {
        expect(places.length, file).toBe(byHand.has(entry) ? 0 : ends.get(entry)?.length);
        for (const [n, place] of places.entries()) {
          const own = ends.get(entry)?.[n]?.endRaceUs ?? Number.NaN;
          const others = chart.filter((line) => line.places.length > n && line.entry !== entry);
          const earlier = others.filter((line) => (ends.get(line.entry)?.[n]?.endRaceUs ?? 0) < own).length;
          const notLater = others.filter((line) => (ends.get(line.entry)?.[n]?.endRaceUs ?? 0) <= own).length;
          expect(place, `${file} lap ${n + 1}`).toBeGreaterThan(earlier);
          expect(place, `${file} lap ${n + 1}`).toBeLessThanOrEqual(notLater + 1);
          laps++;
        }
      }
    }
    expect(laps).toBeGreaterThan(3000);
  });

  it('gives each place of a lap once', () => {
    for (const { chart } of heats) {
      for (let n = 0; n < Math.max(0, ...chart.map(({ places }) => places.length)); n++) {
        const places = chart.flatMap((line) => line.places[n] ?? []).sort((a, b) => a - b);
        expect(places).toEqual(places.map((_, i) => i + 1));
      }
    }
  });
});

describe('place after each heat', () => {
  it('ends as the race does when all have run as many and nothing was added to the sums', () => {
    let compared = 0;
    for (const { file, standing, chart, counts, race } of races) {
      const sums = standing.rows.map(({ heats }) => heats.reduce((sum, { score }) => sum + (score ?? 0), 0));
      const plain = standing.rows.every(({ score }, i) => score === null || score === sums[i]);
      if (chart.step !== 'heat' || counts.least !== counts.most || counts.most < 2 || !plain) continue;
      const last = chart.lines.map(({ places }) => places.at(-1));
      expect(last, `${file} ${race.id}`).toEqual(last.map((_, i) => i + 1));
      compared++;
    }
    expect(compared).toBeGreaterThan(8);
  });
});

describe('spread of laps', () => {
  it('has every lap of an entry that was not counted by hand', () => {
    for (const { standing, spreads, heats } of races) {
      const byHand = heats.some(({ result }) => result.some((row) => row.byHand));
      if (byHand) continue;
      const laps = new Map(standing.rows.map(({ entry, laps }) => [entry, laps]));
      for (const { entry, lapsUs } of spreads) expect(lapsUs.length).toBe(laps.get(entry));
      for (const { entry, laps: n } of standing.rows) {
        expect(spreads.some((spread) => spread.entry === entry)).toBe(n > 0);
      }
    }
  });
});

describe('why one is ahead of the next', () => {
  it('is asked exactly where scores are equal, and "shared" is said exactly where the place is', () => {
    const said = new Map<string, number>();
    for (const { file, standing, ties, race } of races) {
      for (const [i, row] of standing.rows.entries()) {
        const next = standing.rows[i + 1];
        const tie = ties[i];
        const where = `${file} ${race.id} ${row.entry}`;
        if (next === undefined || next.excluded || row.score !== next.score) {
          expect(tie, where).toBeNull();
          continue;
        }
        expect(tie?.by === 'shared', where).toBe(row.place === next.place);
        said.set(tie?.by ?? '', (said.get(tie?.by ?? '') ?? 0) + 1);
      }
    }
    expect([...said.keys()].sort()).toEqual([
      'fastest',
      'finished-heats',
      'finished-time',
      'heat',
      'laps',
      'last-lap',
      'shared',
    ]);
  });

  it.each([
    ['33-ties-time.jsonl', [{ by: 'fastest' }]],
    ['34-ties-second-best.jsonl', [{ by: 'heat', nth: 2 }]],
    ['32-missing-zero-and-ties.jsonl', [{ by: 'heat', nth: 1 }]],
  ])('%s', (file, expected) => {
    const ties = races.filter((race) => race.file === file).flatMap(({ ties }) => ties);
    for (const tie of expected) expect(ties).toContainEqual(tie);
  });
});

describe('lanes', () => {
  it('the fastest lap of a race is the fastest of its lanes', () => {
    for (const { standing, laneRecords, lanes } of races) {
      const fastest = standing.rows.flatMap(({ fastestUs }) => fastestUs ?? []);
      expect(Math.min(...laneRecords.map(({ fastestUs }) => fastestUs))).toBe(Math.min(...fastest));
      expect(laneRecords.map(({ lane }) => lane)).toEqual(
        lanes.filter((lane) => laneRecords.some((record) => record.lane === lane)),
      );
    }
  });
});
