import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Crossing } from '../../server/heats/facts.ts';
import { foldHeat } from '../../server/heats/fold.ts';
import { resultsCsv, textCell } from '../../server/results/csv.ts';
import { meanPerHeat } from '../../server/results/equal-heats.ts';
import { headline } from '../../server/results/headline.ts';
import { heatResult } from '../../server/results/heat-result.ts';
import type { RaceReport } from '../../server/results/report.ts';
import { rulingList } from '../../server/results/ruling-list.ts';
import type { RaceRow } from '../../server/results/standing.ts';
import { mostLines, textResult } from '../../server/results/text-result.ts';
import { headlineWords, rulingWords } from '../../views/result-words.ts';
import { shortName } from '../../views/short-name.ts';
import { results as t } from '../../views/texts/en/results.ts';

type Heats = RaceRow['heats'];
const heat = (id: string, lane: number, score: number | null): Heats[number] => ({
  heat: id,
  lane,
  laps: Math.floor((score ?? 0) / 100),
  score,
  finished: score !== null,
  fastestUs: 5_000_000,
  lastLapEndRaceUs: null,
  state: 'confirmed',
});
const row = (nickname: string, place: number, score: number | null, heats: Heats, more = {}): RaceRow => ({
  place,
  entry: nickname.toLowerCase(),
  nickname,
  score,
  laps: heats.reduce((sum, { laps }) => sum + laps, 0),
  fastestUs: 5_000_000,
  missing: 0,
  excluded: false,
  heats,
  ...more,
});

describe('the headline', () => {
  const one = [heat('h1', 1, 3142)];
  const words = (rows: RaceRow[], more: Partial<RaceReport> = {}, kind: 'time' | 'laps' = 'time') => {
    const { ties = rows.map(() => null), toRun = 0, unconfirmed = 0 } = more;
    const format =
      kind === 'time' ? { kind, durationMs: 180_000, firstTo: null } : ({ kind, laps: 20, limitMs: null } as const);
    const race = { name: 'Attic cup', format } as RaceReport['race'];
    const said = headline(rows, kind, ties, toRun);
    return headlineWords({ ...more, headline: said, race, toRun, unconfirmed } as RaceReport);
  };

  it('says who wins and by how much', () => {
    const rows = [row('Pebble', 1, 3142, one), row('Moss', 2, 3018, one)];
    expect(words(rows)).toBe('Pebble wins Attic cup by 1.24 laps.');
    expect(words(rows, { unconfirmed: 1 })).toBe('Pebble leads Attic cup by 1.24 laps.');
    expect(words(rows, { toRun: 2 })).toBe('Pebble leads Attic cup by 1.24 laps.');
    expect(words(rows, {}, 'laps')).toBe('Pebble wins Attic cup by 0.124 s.');
    expect(words([row('Pebble', 1, 61_000, one), row('Moss', 2, 184_500, one)], {}, 'laps')).toBe(
      'Pebble wins Attic cup by 2:03.500.',
    );
  });

  it('says what decided when the scores are equal', () => {
    const rows = [row('Pebble', 1, 3142, one), row('Moss', 2, 3142, one)];
    expect(words(rows, { ties: [{ by: 'fastest' }, null] })).toBe(
      'Pebble wins Attic cup, level with Moss: faster fastest lap.',
    );
    expect(words(rows, { ties: [{ by: 'last-lap' }, null] })).toContain('earlier over the line');
    const shared = [row('Pebble', 1, 3142, one), row('Moss', 1, 3142, one), row('Fern', 3, 3000, one)];
    expect(words(shared, { ties: [{ by: 'shared' }, null, null] })).toBe('Pebble and Moss share the win in Attic cup.');
  });

  it('names no leader while nobody has a lap', () => {
    const none = [heat('h1', 1, 0)];
    const rows = [row('Pebble', 1, 0, none), row('Moss', 1, 0, none), row('Fern', 1, 0, [])];
    expect(words(rows, { unconfirmed: 1, toRun: 3 })).toBe('Nobody has a lap in Attic cup so far.');
    expect(words([row('Pebble', 1, 0, none), row('Moss', 2, 0, none)])).toBe('Nobody has a lap in Attic cup so far.');
  });

  it('compares means while some have run more heats than others', () => {
    const ahead = row('Pebble', 1, 6000, [heat('h1', 1, 3000), heat('h2', 2, 3000)]);
    const behind = row('Moss', 2, 3100, [heat('h1', 2, 3100)]);
    expect(words([ahead, behind], { toRun: 3 })).toBe('Moss has the best mean per heat in Attic cup: 31.00 laps.');
    expect(words([ahead, behind])).toBe('Pebble wins Attic cup by 29.00 laps.');
  });

  it('leaves out who is excluded, and says so when nobody is left, has begun or has finished', () => {
    const out = row('Moss', 2, 3018, one, { excluded: true });
    expect(words([row('Pebble', 1, 3142, one), out])).toBe('Pebble wins Attic cup with 31.42 laps.');
    expect(words([{ ...out, place: 1 }])).toBe('Nobody has a place in Attic cup.');
    expect(words([row('Pebble', 1, 0, [])], { toRun: 4 })).toBe('Attic cup has not begun.');
    expect(words([row('Pebble', 1, null, one)], {}, 'laps')).toBe(
      'Nobody has finished every heat of Attic cup; Pebble has come furthest.',
    );
  });
});

describe('the mean per heat', () => {
  it('is that of the heats run, cut, whatever was filled in or added', () => {
    expect(meanPerHeat(row('Pebble', 1, 9999, [heat('h1', 1, 3000), heat('h2', 2, 3001)], { missing: 2 }))).toBe(3000);
    expect(meanPerHeat(row('Pebble', 1, null, [heat('h1', 1, null), heat('h2', 2, 60_001)]))).toBe(60_001);
    expect(meanPerHeat(row('Pebble', 1, 0, []))).toBeNull();
  });
});

describe('the order within a heat', () => {
  const plan = (n: number) => ({
    heat: 'h1',
    race: 'r1',
    format: { kind: 'time', durationMs: 300_000, firstTo: null } as const,
    start: 'ahead' as const,
    holdRollUs: 0,
    endRollUs: 0,
    standingFastest: false,
    lanes: Array.from({ length: n }, (_, i) => ({ lane: i + 1, minLapUs: 1_000_000, entry: `e${i + 1}`, delayMs: 0 })),
  });
  const events = (['arm', 'start', 'stop'] as const).map((kind, i) => ({
    n: i + 1,
    kind,
    atUs: [0, 1_000_000, 290_000_000][i] as number,
    by: '',
  }));
  const crossings = (lane: number, instants: number[]): Crossing[] =>
    instants.map((atUs, i) => ({ device: 's1', boot: 'b', seq: lane * 1000 + i, lane, tUs: atUs, atUs, late: false }));

  it('41 laps each, 0.08 s apart: the one over the line first is ahead, though the other has the fastest lap', () => {
    // Lane 2 is even and arrives at 247.00 s; lane 1 has one lap of 5 s and arrives 0.08 s later.
    const even = Array.from({ length: 42 }, (_, i) => 1_000_000 + i * 6_000_000);
    const uneven = even.map((us, i) => (i === 0 ? us : i === 41 ? us + 80_000 : us - 1_000_000));
    const state = foldHeat(
      plan(2),
      { events, rulings: [], crossings: [...crossings(1, uneven), ...crossings(2, even)] },
      () => 64,
    );
    const [first, second] = heatResult(state);
    expect([first?.entry, first?.laps, second?.entry, second?.laps]).toEqual(['e2', 41, 'e1', 41]);
    expect(second?.fastestUs).toBeLessThan(first?.fastestUs as number);
    expect([first?.place, second?.place]).toEqual([1, 2]);
  });

  it('same laps at the same instant share a place, and a lane left out of the heat comes last', () => {
    const laps = [2_000_000, 8_000_000, 14_000_000];
    const rulings = [
      { n: 4, kind: 'exclude', target: { entry: 'e3' }, value: 'heat', why: '', by: '', atUs: 300_000_000 } as const,
    ];
    const all = [1, 2, 3].flatMap((lane) => crossings(lane, lane === 3 ? [...laps, 20_000_000] : laps));
    const state = foldHeat(plan(4), { events, rulings, crossings: all }, () => 64);
    expect(heatResult(state).map(({ entry, place }) => [entry, place])).toEqual([
      ['e1', 1],
      ['e2', 1],
      ['e4', 3],
      ['e3', 4],
    ]);
  });

  it('says a ruling in words, with who drove there', () => {
    const ruling = { n: 4, kind: 'adjust', target: { lane: 2 }, value: -150, why: '', by: '', atUs: 0 } as const;
    const line = { ruling, undoneBy: null, replacedBy: null, lane: 2, entry: 'e2', raceUs: null };
    expect(rulingWords(line, 'time', () => 'Moss')).toBe('Lane 2 (Moss): \u22121.50 laps');
    expect(rulingWords(line, 'laps', () => 'Moss')).toBe('Lane 2 (Moss): \u22120.150 s');
  });
});

describe('the list of rulings', () => {
  it('tells what holds, what was undone and what a later one replaces', () => {
    const plan = {
      heat: 'h1',
      race: 'r1',
      format: { kind: 'time', durationMs: 60_000, firstTo: null } as const,
      start: 'ahead' as const,
      holdRollUs: 0,
      endRollUs: 0,
      standingFastest: false,
      lanes: [{ lane: 1, minLapUs: 0, entry: 'e1', delayMs: 0 }],
    };
    const part = (n: number, value: number) => ({ n, kind: 'part', target: { lane: 1 }, value }) as const;
    const adjust = (n: number) => ({ n, kind: 'adjust', target: { lane: 1 }, value: 100 }) as const;
    const undo = (n: number, of: number) => ({ n, kind: 'undo', target: { n: of } }) as const;
    const decisions = [part(1, 10), part(2, 20), adjust(3), adjust(4), part(5, 30), undo(6, 5), undo(7, 3), undo(8, 7)];
    const rulings = decisions.map((decision) => ({ ...decision, why: '', by: '', atUs: 0 }));
    const lines = rulingList(foldHeat(plan, { events: [], rulings, crossings: [] }, () => 64));
    expect(lines.map(({ undoneBy, replacedBy }) => undoneBy ?? replacedBy)).toEqual([
      2,
      null,
      null,
      null,
      6,
      null,
      8,
      null,
    ]);
    expect(lines[0]).toMatchObject({ undoneBy: null, replacedBy: 2, lane: 1, entry: 'e1' });
  });
});

describe('names in drawings', () => {
  it('are cut by what people see as letters', () => {
    expect(shortName('Thirteen long')).toBe('Thirteen long');
    expect(shortName('Wonderful Marmaladefield')).toBe('Wonderful Ma…');
    expect(shortName('Fourteen long 14')).toBe('Fourteen lon…');
    const families = '\u{1f468}\u200d\u{1f469}\u200d\u{1f467}'.repeat(13);
    expect(shortName(families)).toBe(families);
  });
});

describe('plain text', () => {
  const line = fc.string({ maxLength: 30 });
  it('never has more than twenty lines, and every race that fits keeps its headline', () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ headline: line, rows: fc.array(line, { maxLength: 40 }) }), { maxLength: 30 }),
        fc.array(line, { maxLength: 3 }),
        (races, closing) => {
          const parts = { title: 'Night', races, closing, more: (n: number) => `and ${n} more` };
          const lines = textResult(parts).split('\n');
          expect(lines.length).toBeLessThanOrEqual(mostLines);
          const tidy = (text: string) => text.replace(/[\p{Cc}\p{Zl}\p{Zp}]+/gu, ' ');
          const kept = races.slice(0, mostLines - 1 - closing.length).map(({ headline }) => tidy(headline));
          for (const headline of kept) expect(lines).toContain(headline);
          expect(lines.slice(lines.length - closing.length)).toEqual(closing.map(tidy));
        },
      ),
    );
  });

  it('says how many had no room', () => {
    const rows = Array.from({ length: 40 }, (_, i) => `${i + 1}. x`);
    const text = textResult({ title: 'N', races: [{ headline: 'H', rows }], closing: ['C'], more: t.text.more });
    expect(text.split('\n')).toHaveLength(mostLines);
    expect(text).toContain('16. x\nand 24 more\nC');
  });
});

describe('CSV', () => {
  // CWE-1236 and the OWASP page on CSV injection name these beginnings.
  it.each(['=1+1', '+1', '-1', '@SUM(A1)', '\tx', '\rx', '\0x'])('disarms the text %j', (text) => {
    expect(textCell(text)).toBe(`'${text}`);
  });

  it('leaves every other text as it is', () => {
    for (const text of ['Pebble', "'x", ' =1', 'a=b', '1', '']) expect(textCell(text)).toBe(text);
  });

  it('is RFC 4180 with a byte order mark; numbers stay numbers', () => {
    const rows = [
      row('=HYPERLINK("x")', 1, 3142, [heat('h1', 2, 3142)]),
      row('Moss, "the"\nbarn', 2, 5, [heat('h2', 2, 5)], { fastestUs: null, excluded: true }),
      row('Fern', 3, null, []),
    ];
    const report = {
      race: { format: { kind: 'time' } },
      standing: { rows },
      lanes: [2],
      laneTable: rows.map(({ entry, nickname, heats }) => ({ entry, nickname, lanes: [heats] })),
    } as unknown as RaceReport;
    const cars = new Map([[rows[0]?.entry ?? '', '-red']]);
    expect(resultsCsv(report, cars, { ...t.csv, flags: t.laps.flags })).toBe(
      [
        '\uFEFFPlace,Driver,Car,Score (laps),Laps,Fastest lap (s),Heats,Heats filled by the mean,Excluded,Lane 2',
        `1,"'=HYPERLINK(""x"")",'-red,31.42,31,5.000000,1,0,no,31.42`,
        '2,"Moss, ""the""\nbarn",,0.05,0,,1,0,yes,0.05',
        '3,Fern,,,0,5.000000,0,0,no,',
        '',
      ].join('\r\n'),
    );
  });
});
