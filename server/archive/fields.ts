import type { JsonObject, JsonValue } from '../shared/json-reader.ts';
import { LineError } from './refusal.ts';

/**
 * Reads one value.
 *
 * @param key where it stands, for the refusal
 * @throws LineError
 */
export type Field<T> = (value: JsonValue, key: string) => T;

/** Any value: something else looks at it. */
export const anything: Field<JsonValue> = (value) => value;

/** A text of any characters. */
export const text: Field<string> = (value, key) => {
  if (typeof value !== 'string') throw new LineError('wrong-kind', key);
  return value;
};

export const flag: Field<boolean> = (value, key) => {
  if (typeof value !== 'boolean') throw new LineError('wrong-kind', key);
  return value;
};

/** A flag that is left out where it is not true. */
export const onlyTrue: Field<true> = (value, key) => {
  if (value !== true) throw new LineError(typeof value === 'boolean' ? 'out-of-range' : 'wrong-kind', key);
  return value;
};

/** A day of the calendar, YYYY-MM-DD. */
export const date: Field<string> = (value, key) => {
  const day = text(value, key);
  const [, year, month, dayOfMonth] = /^(\d{4})-(\d\d)-(\d\d)$/.exec(day)?.map(Number) ?? [];
  if (year === undefined || month === undefined || dayOfMonth === undefined) throw new LineError('no-such-date', day);
  const leap = year % 4 === 0 && (year % 100 !== 0 || year % 400 === 0);
  const days = [31, leap ? 29 : 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1] ?? 0;
  if (dayOfMonth < 1 || dayOfMonth > days) throw new LineError('no-such-date', day);
  return day;
};

/** An integer of any size that the log knows. */
export const integer: Field<number> = (value, key) => {
  if (typeof value !== 'number') throw new LineError('wrong-kind', key);
  return value;
};

function atLeast(least: number): Field<number> {
  return (value, key) => {
    const number = integer(value, key);
    if (number < least) throw new LineError('out-of-range', key);
    return number;
  };
}

export const fromNought = atLeast(0);
export const fromOne = atLeast(1);

/** One of some words or numbers. */
export function oneOf<const T extends string | number>(choices: readonly T[]): Field<T> {
  return (value, key) => {
    if (typeof value !== typeof choices[0]) throw new LineError('wrong-kind', key);
    if (!(choices as readonly JsonValue[]).includes(value)) throw new LineError('unknown-word', String(value));
    return value as T;
  };
}

/** Null, or what the other field reads. */
export function orNull<T>(field: Field<T>): Field<T | null> {
  return (value, key) => (value === null ? null : field(value, key));
}

export function listOf<T>(field: Field<T>): Field<T[]> {
  return (value, key) => {
    if (!Array.isArray(value)) throw new LineError('wrong-kind', key);
    return value.map((item) => field(item, key));
  };
}

type Fields = Readonly<Record<string, Field<unknown>>>;
type Values<F extends Fields> = { -readonly [K in keyof F]: ReturnType<F[K]> };

/** An object with exactly the keys of the table. */
export function objectOf<F extends Fields>(fields: F): Field<Values<F>> {
  const keys = Object.keys(fields);
  return (value, key) => {
    if (!(value instanceof Map)) throw new LineError('wrong-kind', key);
    return readFields(value, fields, keys) as Values<F>;
  };
}

/** One key of an object, looked at before the others. */
export function valueOf<T>(object: JsonObject, key: string, field: Field<T>): T {
  const value = object.get(key);
  if (value === undefined) throw new LineError('missing-key', key);
  return field(value, key);
}

function readFields(object: JsonObject, fields: Fields, keys: readonly string[]): Record<string, unknown> {
  const values: Record<string, unknown> = {};
  for (const key of keys) {
    values[key] = valueOf(object, key, fields[key] as Field<unknown>);
  }
  if (object.size > keys.length) {
    const unknown = [...object.keys()].find((key) => !Object.hasOwn(fields, key));
    throw new LineError('unknown-key', unknown);
  }
  return values;
}
