import { z } from 'zod';
import { pace as words } from '../../views/texts/en/pace-command.ts';
import type { HeatLength } from '../pace/score-draws.ts';
import { Refusal } from './refusal.ts';

/** A field that is asked for. */
export interface AskedField {
  /** As the file names it; its number from 1 where it does not. */
  readonly name: string | number;
  /** Null: the class of all laps. */
  readonly carClass: string | null;
  /** Null: the track with most heats. */
  readonly track: string | null;
  readonly length: HeatLength;
  readonly drivers: readonly string[];
  /** By driver; null where nobody knows. */
  readonly lanes: readonly (number | null)[];
}

const name = z.union([z.string().min(1), z.number().transform(String)]);
const mostDrivers = 60;

const shape = z.object({
  field: z.union([z.string(), z.number()]).nullish(),
  class: name.nullish(),
  kind: z.enum(['time', 'laps']),
  T: z.number().positive().max(86_400).nullish(),
  N: z.int().min(1).max(100_000).nullish(),
  track: name.nullish(),
  drivers: z
    .array(name)
    .min(1)
    .max(mostDrivers)
    .refine((drivers) => new Set(drivers).size === drivers.length),
  lanes: z.array(z.int().min(1).nullable()).nullish(),
});

/**
 * Reads a file of fields.
 *
 * @param source what the file is called in sentences
 * @returns the fields, and sentences on what is passed over
 * @throws Refusal for a text that is no such file
 */
export function readFields(text: string, source: string): { fields: AskedField[]; notes: string[] } {
  const whole = parsed(text, source);
  const listed = typeof whole === 'object' && whole !== null && 'fields' in whole ? whole.fields : null;
  if (!Array.isArray(listed)) throw new Refusal(1, words.notFields(source));
  const unused = listed.map((each) => Object.keys(Object(each)).filter((key) => !(key in shape.shape)));
  return {
    fields: listed.map((each: unknown, i) => readField(each, i + 1, source)),
    notes: unused.flatMap((keys, i) => keys.map((key) => words.notes.unusedKey(i + 1, key))),
  };
}

function parsed(text: string, source: string): unknown {
  // Editors of some systems begin a file with a byte order mark.
  const json = text.startsWith('\ufeff') ? text.slice(1) : text;
  try {
    return JSON.parse(json);
  } catch (error) {
    throw new Refusal(1, words.notJson(source, lineOf((error as SyntaxError).message, json)));
  }
}

/** The line the parser stumbled over; null where it does not say. */
function lineOf(message: string, json: string): number | null {
  const [, position] = /position (\d+)/.exec(message) ?? [];
  const at = position !== undefined ? Number(position) : /end of JSON/.test(message) ? json.trimEnd().length : null;
  return at === null ? null : json.slice(0, at).split('\n').length;
}

function readField(value: unknown, number: number, source: string): AskedField {
  const read = shape.safeParse(value);
  if (!read.success) {
    const [key] = read.error.issues[0]?.path ?? [];
    throw new Refusal(
      1,
      key === undefined ? words.notAField(source, number) : words.wrongKey(source, number, String(key)),
    );
  }
  const { field, kind, T, N, drivers, lanes, track, class: carClass } = read.data;
  const long = kind === 'time' ? T : N;
  if (long == null) throw new Refusal(1, words.wrongKey(source, number, kind === 'time' ? 'T' : 'N'));
  if (lanes != null && lanes.length !== drivers.length) {
    throw new Refusal(1, words.seats(source, number, drivers.length, lanes.length));
  }
  return {
    name: field ?? number,
    carClass: carClass ?? null,
    track: track ?? null,
    length: kind === 'time' ? { kind, durationMs: 1000 * long } : { kind, laps: long },
    drivers,
    lanes: lanes ?? drivers.map(() => null),
  };
}
