/** Readings as somebody's file or clipboard holds them. */
export type ReadingsText =
  | { readonly ok: true; readonly counts: number[]; readonly bits?: number; readonly restSamples?: number }
  | { readonly ok: false; readonly problem: ReadingsProblem };

export type ReadingsProblem =
  | { readonly kind: 'none' | 'json' | 'many' }
  /** Something that is no whole number; `at` counts from 1. */
  | { readonly kind: 'notWhole'; readonly text: string; readonly at: number };

/** Column of a table that holds the readings. */
const columnName = /^"?counts?"?$/i;

/**
 * Reads whole numbers between blanks, line ends, commas or semicolons; a table with a heading, of which the column
 * "count" is taken; or JSON: a list, or an object with "counts" and perhaps "bits" and "restSamples".
 *
 * @param most more readings are refused
 */
export function readReadings(text: string, most: number): ReadingsText {
  const tidy = text.replace(/^\ufeff/, '').trim();
  if (tidy === '') return { ok: false, problem: { kind: 'none' } };
  const read = /^[[{]/.test(tidy) ? readJson(tidy) : readWords(wordsOf(tidy));
  if (!read.ok) return read;
  if (read.counts.length === 0) return { ok: false, problem: { kind: 'none' } };
  return read.counts.length > most ? { ok: false, problem: { kind: 'many' } } : read;
}

function readJson(text: string): ReadingsText {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return { ok: false, problem: { kind: 'json' } };
  }
  const object = Array.isArray(value) ? { counts: value } : (value as Record<string, unknown>);
  const { counts, bits, restSamples } = object;
  if (!Array.isArray(counts)) return { ok: false, problem: { kind: 'json' } };
  const wrong = counts.findIndex((count) => !isReading(count));
  if (wrong >= 0) {
    return { ok: false, problem: { kind: 'notWhole', text: shown(counts[wrong]), at: wrong + 1 } };
  }
  return {
    ok: true,
    counts: counts as number[],
    ...(typeof bits === 'number' ? { bits } : {}),
    ...(typeof restSamples === 'number' ? { restSamples } : {}),
  };
}

/** Lists and objects are only named: they may be nested deeper than can be written out. */
function shown(value: unknown): string {
  if (typeof value === 'object' && value !== null) return Array.isArray(value) ? '[…]' : '{…}';
  return String(JSON.stringify(value)).slice(0, 20);
}

/** A count outside the sensor's range is for the check to find; it must only fit where it is kept. */
const isReading = (value: unknown): boolean => Number.isInteger(value) && Math.abs(value as number) < 2 ** 31;

function readWords(words: readonly string[]): ReadingsText {
  const wrong = words.findIndex((word) => !/^[+-]?\d{1,10}$/.test(word) || !isReading(Number(word)));
  if (wrong >= 0) {
    return { ok: false, problem: { kind: 'notWhole', text: (words[wrong] as string).slice(0, 20), at: wrong + 1 } };
  }
  return { ok: true, counts: words.map(Number) };
}

/** Every number of a text; of a table with a heading those of the column that is called "count". */
function wordsOf(text: string): string[] {
  const [head = '', ...lines] = text.split(/\r\n|\r|\n/);
  const split = (line: string) => line.split(/[;,\t]/).map((cell) => cell.trim());
  const column = split(head).findIndex((cell) => columnName.test(cell));
  if (column < 0) return text.split(/[\s,;]+/).filter((word) => word !== '');
  return lines.filter((line) => line.trim() !== '').map((line) => split(line)[column] ?? '');
}
