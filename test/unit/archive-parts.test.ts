import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { beyondLimits } from '../../server/archive/limits.ts';
import { matchDrivers } from '../../server/archive/match-drivers.ts';
import type { MeetingFacts } from '../../server/results/meeting-facts.ts';
import { publicFacts } from '../../server/results/public-facts.ts';
import { attachment } from '../../server/shared/attachment.ts';
import { BriefCache } from '../../server/shared/brief-cache.ts';

const facts: MeetingFacts = {
  meeting: { name: 'Night', date: '2026-11-13', zone: 'UTC' },
  track: { name: 'Ring', lanes: [{ lane: 1, lengthMm: 1, minLapUs: 0 }], start: 'ahead', holdRollUs: 0, endRollUs: 0 },
  drivers: [
    { id: 'd1', nickname: 'Pebble' },
    { id: 'd2', nickname: 'Moss' },
  ],
  races: [],
  entries: [],
  heats: [],
  devices: [],
  journal: [{ heat: 'h1', fact: { n: 1, kind: 'arm', atUs: 0, by: 'Moss' } }],
  crossings: [],
};

describe('drivers of a log', () => {
  const driver = (id: string, nickname: string) => ({ id, nickname });
  it('are those of the club whose nickname is the same, letter for letter', () => {
    const club = [driver('c1', 'Pebble'), driver('c2', 'moss')];
    expect([...matchDrivers([driver('d1', 'Pebble'), driver('d2', 'Moss')], club)]).toEqual([['d1', 'c1']]);
  });

  it('are nobody when two bear the nickname, in the log or in the club', () => {
    const one = [driver('d1', 'Pebble')];
    const two = [driver('x1', 'Pebble'), driver('x2', 'Pebble')];
    expect(matchDrivers(one, two).size).toBe(0);
    expect(matchDrivers(two, one).size).toBe(0);
  });
});

describe('what cannot be kept', () => {
  it('is told apart from what can', () => {
    const lanes = (n: number) => Array.from({ length: n }, (_, i) => ({ lane: i + 1, lengthMm: 1, minLapUs: 0 }));
    expect(beyondLimits(facts)).toBeNull();
    expect(beyondLimits({ ...facts, track: { ...facts.track, lanes: lanes(100) } })).toBeNull();
    expect(beyondLimits({ ...facts, track: { ...facts.track, lanes: lanes(101) } })).toBe('many-lanes');
    const far = [{ lane: 2 ** 31, lengthMm: 1, minLapUs: 0 }];
    expect(beyondLimits({ ...facts, track: { ...facts.track, lanes: far } })).toBe('lane-number');
    expect(beyondLimits({ ...facts, meeting: { ...facts.meeting, date: '0000-12-31' } })).toBe('early-date');
    expect(beyondLimits({ ...facts, drivers: [{ id: 'd1', nickname: 'x'.repeat(498) }] })).toBeNull();
    expect(beyondLimits({ ...facts, drivers: [{ id: 'd1', nickname: 'x'.repeat(499) }] })).toBe('long-name');
    // One character that its folded key writes in eighteen.
    expect(beyondLimits({ ...facts, drivers: [{ id: 'd1', nickname: '\ufdfa'.repeat(40) }] })).toBe('long-name');
    const heat = { id: 'h1', race: 'r1', ordinal: 1, lanes: [], marshals: Array(101).fill('e1'), reruns: null };
    expect(beyondLimits({ ...facts, heats: [heat] })).toBe('many-marshals');
  });
});

describe('what strangers see', () => {
  it('has other names and nobody beside what was pressed', () => {
    const shown = publicFacts(facts, (id) => (id === 'd2' ? 'Driver 2' : null));
    expect(JSON.stringify(shown)).not.toContain('Moss');
    expect(shown.drivers).toEqual([
      { id: 'd1', nickname: 'Pebble' },
      { id: 'd2', nickname: 'Driver 2' },
    ]);
    expect(facts.journal[0]?.fact.by).toBe('Moss');
  });
});

/** Texts of any UTF-16 units, half surrogate pairs too. */
const anyText = fc.array(fc.nat(0xffff), { maxLength: 100 }).map((units) => String.fromCharCode(...units));

describe('names of downloads', () => {
  it('have a plain form and the whole name', () => {
    expect(attachment(['Fête à l\u2019été', '2026-11-13'], 'csv')).toBe(
      'attachment; filename="fete-a-l-ete-2026-11-13.csv"; filename*=UTF-8\'\'F%C3%AAte%20%C3%A0%20l%E2%80%99%C3%A9t%C3%A9%202026-11-13.csv',
    );
    expect(attachment(['\u0000'], 'json')).toBe(
      'attachment; filename="lanewise.json"; filename*=UTF-8\'\'lanewise.json',
    );
  });

  // RFC 6266 and RFC 8187: a quoted string of plain characters, then percent-encoded UTF-8.
  it('are one header line of plain characters, whatever the name', () => {
    fc.assert(
      fc.property(fc.array(anyText, { maxLength: 3 }), (names) => {
        expect(attachment(names, 'csv')).toMatch(
          /^attachment; filename="[a-z0-9.-]+\.csv"; filename\*=UTF-8''[A-Za-z0-9!#$&+^_`|~.%-]+\.csv$/,
        );
      }),
    );
  });
});

describe('BriefCache', () => {
  it('makes once for everybody who asks within the time, and forgets failures', async () => {
    let made = 0;
    const cache = new BriefCache<number>(1000, 2);
    const make = async () => ++made;
    expect(await Promise.all([cache.get('a', 0, make), cache.get('a', 999, make)])).toEqual([1, 1]);
    expect(await cache.get('a', 1000, make)).toBe(2);
    await expect(cache.get('b', 0, () => Promise.reject(new Error('no')))).rejects.toThrow('no');
    expect(await cache.get('b', 0, make)).toBe(3);
    await cache.get('c', 0, make);
    await cache.get('d', 0, make);
    expect(await cache.get('b', 0, make)).toBe(6);
  });
});
