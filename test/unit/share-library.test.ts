import { describe, expect, test } from 'vitest';
import { defaultTuning } from '../../server/profiles/model/profile.ts';
import { type PresetName, presets } from '../../server/profiles/motor/motor.ts';
import { choicesOf, fitting, type LibraryAsk, libraryPage } from '../../server/shares/library.ts';
import { motorKind } from '../../server/shares/motor-kind.ts';
import { pastedSource } from '../../server/shares/received.ts';

type Place = { car?: string; className?: string; motor?: PresetName; day?: string };
const entry = (name: string, { car, className, motor, day = '2026-11-01' }: Place = {}) => ({
  id: `id-${name}`,
  setup: { name, ...defaultTuning },
  carName: car ?? null,
  className: className ?? null,
  motor: motor ? { ...presets[motor], rOhm: presets[motor].rOhm * 1.2 } : null,
  sharedOn: day,
});
const all = [
  entry('Wet', { car: 'Blue one', className: 'GT', motor: 'club', day: '2026-11-03' }),
  entry('Attic', { car: 'Red one', className: 'GT', motor: 'strong', day: '2026-11-02' }),
  entry('Calm', { car: 'Blue one', motor: 'club' }),
  entry('Any'),
];
const ask: LibraryAsk = { car: '', class: '', motor: '', sort: 'effect', page: 1 };
const names = (entries: readonly { setup: { name: string } }[]) => entries.map(({ setup }) => setup.name);

describe('the library', () => {
  test('what can be chosen is what stands in it', () => {
    expect(choicesOf(all)).toEqual({ cars: ['Blue one', 'Red one'], classes: ['GT'], motors: ['club', 'strong'] });
  });

  test('shows what fits', () => {
    expect(names(fitting(all, ask))).toHaveLength(4);
    expect(names(fitting(all, { ...ask, car: 'Blue one' }))).toEqual(['Wet', 'Calm']);
    expect(names(fitting(all, { ...ask, class: 'GT', motor: 'strong' }))).toEqual(['Attic']);
    expect(fitting(all, { ...ask, car: 'None' })).toEqual([]);
  });

  test('what helped comes first, what made slower last', () => {
    const effects: Record<string, number> = { Wet: -0.02, Calm: 0.01, Attic: 0.03 };
    const effectOf = ({ setup }: { setup: { name: string } }) => effects[setup.name] ?? 0;
    expect(names(libraryPage(all, ask, effectOf).entries)).toEqual(['Attic', 'Calm', 'Any', 'Wet']);
    expect(names(libraryPage(all, { ...ask, sort: 'name' }, effectOf).entries)).toEqual([
      'Any',
      'Attic',
      'Calm',
      'Wet',
    ]);
    expect(names(libraryPage(all, { ...ask, sort: 'day' }, effectOf).entries)).toEqual(['Wet', 'Attic', 'Any', 'Calm']);
  });

  test('comes in pages; one past the last is the last', () => {
    const many = Array.from({ length: 101 }, (_, i) => entry(`P${String(i).padStart(3, '0')}`));
    const read = (page: number) => libraryPage(many, { ...ask, page }, () => 0);
    expect([read(1), read(2), read(3), read(9)].map(({ page, pages }) => [page, pages])).toEqual([
      [1, 3],
      [2, 3],
      [3, 3],
      [3, 3],
    ]);
    expect(names([1, 2, 3].flatMap((page) => read(page).entries))).toEqual(names(many));
    expect(libraryPage([], ask, () => 0)).toEqual({ entries: [], page: 1, pages: 1 });
  });
});

test('a motor is like the preset whose winding is nearest by ratio', () => {
  expect([9, 1.6, 1.5, 0.33, 0.32, 0.01].map((rOhm) => motorKind({ rOhm }))).toEqual([
    'mild',
    'mild',
    'club',
    'club',
    'strong',
    'strong',
  ]);
});

test('what is pasted is a link, the text of a file, or a code', () => {
  const code = 'abcdefgh-_ABCDEFGH012345';
  for (const link of [`http://192.168.1.9:8080/s/${code}`, ` https://club.example/s/${code}/ `, `/s/${code}?a#b`]) {
    expect(pastedSource(link)).toEqual({ kind: 'link', value: code });
  }
  expect(pastedSource(' {"type"')).toEqual({ kind: 'file', value: ' {"type"' });
  expect(pastedSource('CP1-2051Y')).toEqual({ kind: 'code', value: 'CP1-2051Y' });
  expect(pastedSource('http://x/s/short').kind).toBe('code');
});
