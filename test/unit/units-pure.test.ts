import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { UnitSheet } from '../../server/profiles/convert/sheet.ts';
import { unlimitedSheet } from '../../server/profiles/convert/sheet-schema.ts';
import { frequenciesText, readFrequencies } from '../../server/units/frequencies.ts';
import { readReadings } from '../../server/units/readings-text.ts';
import { emptySheet, readSheetForm, sheetForm } from '../../server/units/sheet-form.ts';
import { continueTrace, mostReadings, type TraceSoFar } from '../../server/units/trace-parts.ts';
import { clubOfUnitToken, unitToken } from '../../server/units/unit-token.ts';
import { SerialLines } from '../../views/assets/scripts/serial-lines.ts';

describe('readings that come in parts', () => {
  const parts = fc.record({
    counts: fc.array(fc.nat(4095), { minLength: 1, maxLength: 60 }),
    cuts: fc.array(fc.nat(60), { maxLength: 8 }),
    order: fc.array(fc.nat(8), { maxLength: 30 }),
  });

  it('make the whole, in whatever order and however often they come', () => {
    fc.assert(
      fc.property(parts, ({ counts, cuts, order }) => {
        const ends = [...new Set([...cuts.map((cut) => cut % counts.length), counts.length])].sort((a, b) => a - b);
        const all = ends.map((end, i) => {
          const seq = ends[i - 1] ?? 0;
          return { bits: 12, restSamples: 30, seq, counts: counts.slice(seq, end), last: end === counts.length };
        });
        let sofar = null as TraceSoFar | null;
        // Any order first, then each in turn: a unit repeats what was not answered.
        for (const part of [...order.map((i) => all[i % all.length]), ...all]) {
          if (!part) continue;
          const before = sofar as TraceSoFar | null;
          const fate = continueTrace(sofar, part);
          expect(['more', 'gap']).toContain(fate.kind);
          if (fate.kind === 'gap') expect(fate.next).toBe(before?.counts.length ?? 0);
          if (fate.kind !== 'more') continue;
          const { bits, restSamples } = part;
          sofar = { bits, restSamples, counts: [...(before?.counts ?? []), ...fate.counts], complete: fate.complete };
          expect(sofar.counts).toEqual(counts.slice(0, sofar.counts.length));
        }
        expect(sofar).toEqual({ bits: 12, restSamples: 30, counts, complete: true });
      }),
    );
  });

  it('end where a trace ends', () => {
    const part = { bits: 12, restSamples: 30, seq: 0, counts: [1], last: false };
    const full = { bits: 12, restSamples: 30, counts: Array(mostReadings).fill(1), complete: false };
    expect(continueTrace(full, { ...part, seq: mostReadings }).kind).toBe('full');
    expect(continueTrace(full, { ...part, seq: mostReadings, counts: [], last: true })).toMatchObject({
      complete: true,
    });
    expect(continueTrace({ ...full, complete: true }, { ...part, seq: mostReadings }).kind).toBe('ended');
  });
});

describe('readings as text', () => {
  const counts = [1200, 0, 16_383];
  it.each([
    ['1200 0 16383', {}],
    ['1200,0;16383\n', {}],
    ['\ufeff1200\r\n0\r\n16383\r\n', {}],
    ['count\n1200\n0\n16383', {}],
    ['ms;Count;note\n0;1200;x\n10;0;\n20;16383;y', {}],
    ['"count"\t"ms"\n1200\t0\n0\t1\n16383\t2', {}],
    ['[1200, 0, 16383]', {}],
    ['{"bits":14,"restSamples":30,"counts":[1200,0,16383],"more":1}', { bits: 14, restSamples: 30 }],
  ])('%j', (text, more) => {
    expect(readReadings(text, 10)).toEqual({ ok: true, counts, ...more });
  });

  it.each([
    ['', { kind: 'none' }],
    ['[]', { kind: 'none' }],
    ['1 2 3 4', { kind: 'many' }],
    ['1 two', { kind: 'notWhole', text: 'two', at: 2 }],
    ['1 2.5', { kind: 'notWhole', text: '2.5', at: 2 }],
    ['1 99999999999', { kind: 'notWhole', text: '99999999999', at: 2 }],
    ['ms;count\n1;2\n3', { kind: 'notWhole', text: '', at: 2 }],
    ['[1,null]', { kind: 'notWhole', text: 'null', at: 2 }],
    ['[{}]', { kind: 'notWhole', text: '{…}', at: 1 }],
    ['[1,', { kind: 'json' }],
    ['{"count":[1]}', { kind: 'json' }],
  ])('%j is refused', (text, problem) => {
    expect(readReadings(text, 3)).toEqual({ ok: false, problem });
  });

  it('lists nested deeper than can be written out are refused too', () => {
    const deep = `[1,${'['.repeat(100_000)}${']'.repeat(100_000)}]`;
    expect(readReadings(deep, 3)).toEqual({ ok: false, problem: { kind: 'notWhole', text: '[…]', at: 2 } });
  });

  it('whatever somebody pastes is read or refused', () => {
    fc.assert(fc.property(fc.string({ unit: 'binary' }), (text) => typeof readReadings(text, 100).ok === 'boolean'));
  });
});

describe('readings over a cable', () => {
  it('are whole lines, wherever the pieces were cut', () => {
    fc.assert(
      fc.property(
        fc.array(fc.nat(16_383), { maxLength: 40 }),
        fc.constantFrom('\n', '\r\n', '\r'),
        fc.array(fc.integer({ min: 1, max: 9 })),
        (counts, end, sizes) => {
          const text = `83${end}${counts.map((count) => `${count}${end}`).join('')}99`;
          const lines = new SerialLines(20_000);
          let at = 0;
          for (const size of [...sizes, text.length]) {
            lines.add(text.slice(at, at + size));
            at += size;
          }
          // Neither the first line, of which some may lack, nor the last, which has no end.
          expect(lines.counts).toEqual(counts);
        },
      ),
    );
  });

  it('pass over what is no number, and stop where a check is full', () => {
    const lines = new SerialLines(3);
    lines.add('boot\nready 3\n 1 \n-2\n2.5\n2\n');
    lines.add(`${'x'.repeat(1000)}\n3\n4\n`);
    expect(lines.counts).toEqual([1, 2, 3]);
  });
});

describe('switching frequencies', () => {
  it.each([
    ['', []],
    ['2000', [2000]],
    ['2000, 500;1000 500', [500, 1000, 2000]],
    ['200-500/100', [200, 300, 400, 500]],
    ['200 - 202', [200, 201, 202]],
    ['200-500/200', [200, 400]],
  ])('%j', (text, list) => {
    expect(readFrequencies(text)).toEqual(list);
  });

  it.each(['199', '5001', 'x', '500-400', '200-300/0', '1e3', '-500'])('%j is refused', (text) => {
    expect(readFrequencies(text)).toBeNull();
  });

  it('come back as they were kept', () => {
    fc.assert(
      fc.property(fc.uniqueArray(fc.integer({ min: 200, max: 5000 }), { maxLength: 30 }), (any) => {
        const list = any.sort((a, b) => a - b);
        expect(readFrequencies(frequenciesText(list))).toEqual(list);
      }),
    );
  });
});

describe('a sheet and its form', () => {
  const steps = { min: 100, max: 900, step: 5 };
  const sheets: UnitSheet[] = [
    emptySheet,
    unlimitedSheet,
    { ...emptySheet, maxDrive: steps, curve: { kind: 'table', n: 16, yStep: 4 }, pwmHz: { list: [500, 2000, 3000] } },
    { ...emptySheet, curve: { kind: 'points', max: 5 }, decay: ['slow', 'fast'], rectify: ['async', 'sync'] },
    { ...emptySheet, curve: { kind: 'number', min: -50, max: 75, step: 25 }, rampUpMs: { min: 0, max: 300, step: 20 } },
    { ...emptySheet, drag: { strength: steps, zone: { min: 0, max: 500, step: 100 }, closingOnly: true } },
  ];
  it.each(sheets)('say the same: %#', (sheet) => {
    expect(readSheetForm(sheetForm(sheet).typed)).toEqual({ ok: true, sheet });
  });
});

describe('a unit’s token', () => {
  it('names its club', () => {
    expect(clubOfUnitToken(unitToken('owls', 'x'.repeat(43)))).toBe('owls');
    expect(clubOfUnitToken('lw_unit_owls_x')).toBeNull();
    expect(clubOfUnitToken(`lw_dev_owls_${'x'.repeat(43)}`)).toBeNull();
  });
});
