import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readLog } from '../../server/archive/log-read.ts';
import { writeLog } from '../../server/archive/log-write.ts';
import type { Ruling } from '../../server/heats/facts.ts';
import { compareCodePoints } from '../../server/heats/order.ts';
import { countMeeting } from '../../server/results/count.ts';
import { detailJson } from '../../server/results/detail-json.ts';
import type { JournalLine, MeetingFacts } from '../../server/results/meeting-facts.ts';
import { JsonError, type JsonValue, readJson } from '../../server/shared/json-reader.ts';
import { anyFacts, anyPlan, bitsOf } from '../helpers/heat-facts.ts';

const encode = (text: string) => new TextEncoder().encode(text);

/** Any text that JSON can hold: line breaks, control characters and half surrogate pairs too. */
const anyText = fc
  .array(fc.oneof(fc.nat(0xffff), fc.constantFrom(0x22, 0x5c, 0x0a, 0x2028, 0xd83d, 0xde00)), { maxLength: 8 })
  .map((units) => String.fromCharCode(...units));

describe('the JSON reader', () => {
  /** What `JSON.parse` would make of it. */
  function plain(value: JsonValue): unknown {
    if (value instanceof Map) return Object.fromEntries([...value].map(([key, item]) => [key, plain(item)]));
    return Array.isArray(value) ? value.map(plain) : value;
  }

  function problem(text: string): string {
    try {
      readJson(text);
      return 'none';
    } catch (error) {
      return error instanceof JsonError ? error.code : String(error);
    }
  }

  it('agrees with JSON.parse', () => {
    const { value } = fc.letrec<{ value: unknown }>((tie) => ({
      value: fc.oneof(
        { maxDepth: 4 },
        fc.constantFrom(null, true, false),
        fc.maxSafeInteger(),
        anyText,
        fc.array(tie('value'), { maxLength: 4 }),
        fc.dictionary(
          anyText.filter((key) => key !== '__proto__'),
          tie('value'),
          { maxKeys: 4 },
        ),
      ),
    }));
    fc.assert(
      fc.property(value, fc.constantFrom(undefined, 1, '\t\r\n'), (drawn, space) => {
        const text = JSON.stringify(drawn, null, space);
        expect(plain(readJson(text))).toEqual(JSON.parse(text));
      }),
    );
  });

  it('refuses what JSON.parse refuses', () => {
    const pieces = ['{', '}', '[', ']', ':', ',', '"a"', '1', '-', '0', '.', 'e', 'true', 'null', '"', '\\u12', ' '];
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...pieces), { maxLength: 7 }), (drawn) => {
        const text = drawn.join('');
        let parses = true;
        try {
          JSON.parse(text);
        } catch {
          parses = false;
        }
        if (!parses) expect(problem(text)).not.toBe('none');
        else expect(problem(text)).not.toBe('not-json');
      }),
      { numRuns: 2000 },
    );
  });

  it.each([
    ['3e4', 30_000],
    ['1.0', 1],
    ['1.50e1', 15],
    ['10e-1', 1],
    ['-0', 0],
    ['0.0e-9', 0],
    ['9007199254740991', Number.MAX_SAFE_INTEGER],
    ['-9007199254740991.000', Number.MIN_SAFE_INTEGER],
  ])('reads %s as an integer', (text, number) => {
    expect(readJson(text)).toBe(number);
  });

  it.each([
    ['0.5', 'number-not-integer'],
    ['1e-1', 'number-not-integer'],
    // The nearest floating point number of these is an integer: the number is none all the same.
    ['9007199254740990.9999', 'number-not-integer'],
    ['1e-400', 'number-not-integer'],
    ['9007199254740992', 'number-too-large'],
    ['1e999', 'number-too-large'],
    ['{"a":1,"a":1}', 'key-twice'],
    ['{"a":{"b":1,"\\u0062":2}}', 'key-twice'],
    ['01', 'not-json'],
    ['+1', 'not-json'],
    ['"\t"', 'not-json'],
    ['"\\x"', 'not-json'],
    ['\ufeff1', 'not-json'],
    ['', 'not-json'],
    ['['.repeat(100_000), 'not-json'],
  ])('refuses %.40j', (text, code) => {
    expect(problem(text)).toBe(code);
  });

  it('is quick with long runs of noughts', () => {
    const started = performance.now();
    expect(problem(`0.${'0'.repeat(1_000_000)}1`)).toBe('number-not-integer');
    expect(performance.now() - started).toBeLessThan(1000);
  });
});

/** A meeting of one heat, with any texts. */
const anyMeeting: fc.Arbitrary<MeetingFacts> = fc
  .record({
    plan: anyPlan,
    facts: anyFacts,
    texts: fc.array(anyText, { minLength: 8, maxLength: 8 }),
    missing: fc.constantFrom('zero' as const, 'mean' as const),
    heatsPerEntry: fc.constantFrom(null, 1, 2),
  })
  .map(({ plan, facts, texts, missing, heatsPerEntry }) => {
    const [name, zone, nickname, raceName, carClass, car, by, suffix] = texts as [string, ...string[]] & string[];
    const id = (start: string) => `${start}${suffix}`;
    const inLaps = plan.format.kind === 'laps';
    const lane = ({ target }: { target: object }) => ('lane' in target ? (target as { lane: number }) : { lane: 1 });
    const rulings = facts.rulings.map((ruling): Ruling => {
      if ('entry' in ruling.target) return { ...ruling, target: { entry: id(ruling.target.entry) } } as Ruling;
      const { n, why, atUs } = ruling;
      // Part laps are for time heats only.
      return ruling.kind === 'part' && inLaps
        ? { n, kind: 'retire', target: lane(ruling), why, by: ruling.by, atUs }
        : ruling;
    });
    const journal: JournalLine[] = [...facts.events, ...rulings]
      .sort((a, b) => a.n - b.n)
      .map((fact) => ({ heat: id('h1'), fact: { ...fact, by: by ?? '' } }));
    return {
      meeting: { name, date: '2026-02-28', zone: zone ?? '' },
      track: {
        name,
        lanes: plan.lanes.map(({ lane, minLapUs }) => ({ lane, lengthMm: 12_000, minLapUs })),
        start: plan.start,
        holdRollUs: plan.holdRollUs,
        endRollUs: plan.endRollUs,
      },
      drivers: [{ id: id('d1'), nickname: nickname ?? '' }],
      races: [
        {
          id: id('r1'),
          name: raceName ?? '',
          carClass: carClass ?? '',
          format: plan.format,
          minLapUs: null,
          missing,
          standingFastest: plan.standingFastest,
          heatsPerEntry,
        },
      ],
      entries: ['e1', 'e2'].map((entry) => ({ id: id(entry), race: id('r1'), driver: id('d1'), car: car ?? '' })),
      heats: [
        {
          id: id('h1'),
          race: id('r1'),
          ordinal: 1,
          lanes: plan.lanes.flatMap(({ lane, entry, delayMs }) =>
            entry === null ? [] : [{ lane, entry: id(entry), delayMs }],
          ),
          marshals: [id('e2')],
          reruns: null,
        },
      ],
      devices: ['s1', 's2'].map((device) => ({ id: device, bits: bitsOf(device) })),
      journal,
      crossings: facts.crossings,
    };
  });

describe('a meeting log', () => {
  it('written and read is the same meeting, with the same results', () => {
    fc.assert(
      fc.property(anyMeeting, (facts) => {
        const reading = readLog(encode(writeLog(facts)));
        expect(reading).toEqual({ facts });
        if (reading.facts) expect(detailJson(countMeeting(reading.facts))).toBe(detailJson(countMeeting(facts)));
      }),
      { numRuns: 300 },
    );
  });

  it('keeps its bytes when it is read and written', () => {
    fc.assert(
      fc.property(anyMeeting, (facts) => {
        const log = writeLog(facts);
        const { facts: read } = readLog(encode(log));
        expect(read && writeLog(read)).toBe(log);
      }),
    );
  });

  it('gives the same results with its crossings anywhere after their device', () => {
    fc.assert(
      fc.property(
        anyMeeting.filter(({ journal }) => journal.every(({ fact }) => fact.kind !== 'judge' && fact.kind !== 'move')),
        fc.infiniteStream(fc.nat()),
        (facts, draws) => {
          const lines = writeLog(facts).split('\n').slice(0, -1);
          const isCrossing = (line: string) => line.startsWith('{"type":"crossing"');
          const mixed = lines.filter((line) => !isCrossing(line));
          const from = mixed.findIndex((line) => line.startsWith('{"type":"device","id":"s2"')) + 1;
          for (const line of lines.filter(isCrossing)) {
            const at = from + ((draws.next().value as number) % (mixed.length - from + 1));
            mixed.splice(at, 0, line);
          }
          // Without a line end after the last line, and with the one that Windows writes.
          const { facts: read } = readLog(encode(mixed.join('\r\n')));
          expect(read && detailJson(countMeeting(read))).toBe(detailJson(countMeeting(facts)));
        },
      ),
      { numRuns: 60 },
    );
  });

  it.each([
    ['', { line: 1, code: 'meeting-not-first', what: '' }],
    ['{"type":"meeting","v":1,"name":"","date":"2026-02-28","zone":""}', { line: 2, code: 'track-missing', what: '' }],
    [
      '{"type":"meeting","v":1,"name":"","date":"2026-02-29","zone":""}',
      { line: 1, code: 'no-such-date', what: '2026-02-29' },
    ],
    ['{"type":"meeting","v":1,"name":"","date":"2026-02-28","zone":""}\n\n', { line: 2, code: 'not-json', what: '' }],
    ['{"v":1}', { line: 1, code: 'missing-key', what: 'type' }],
    ['{"type":"ruling"}', { line: 1, code: 'missing-key', what: 'kind' }],
    [`{"type":"${'x'.repeat(1000)}"}`, { line: 1, code: 'unknown-type', what: `${'x'.repeat(59)}…` }],
    ['{"type":"constructor"}', { line: 1, code: 'unknown-type', what: 'constructor' }],
    ['\ufeff{}', { line: 1, code: 'not-json', what: '' }],
  ])('is refused: %j', (log, refusal) => {
    expect(readLog(encode(log))).toEqual({ refusal });
  });
});

describe('the order of code points', () => {
  it('is that of the code points, half pairs counted as themselves', () => {
    const points = (text: string) => Array.from(text, (character) => character.codePointAt(0) as number);
    fc.assert(
      fc.property(anyText, anyText, (a, b) => {
        const [one, other] = [points(a), points(b)];
        const differs = one.findIndex((point, i) => point !== other[i]);
        const expected = differs < 0 ? one.length - other.length : (one[differs] as number) - (other[differs] ?? -1);
        expect(Math.sign(compareCodePoints(a, b))).toBe(Math.sign(expected));
      }),
      { numRuns: 1000 },
    );
  });
});
