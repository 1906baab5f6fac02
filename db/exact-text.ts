import { customType } from 'drizzle-orm/pg-core';

/**
 * Writes any JavaScript string in the characters PostgreSQL accepts. A meeting log may hold names with U+0000 or half
 * a surrogate pair; results must repeat them exactly, so such characters (and quotes and backslashes) are kept as
 * JSON escapes.
 */
export function encodeExact(text: string): string {
  return JSON.stringify(text).slice(1, -1);
}

/** The inverse of {@link encodeExact}. */
export function decodeExact(stored: string): string {
  return JSON.parse(`"${stored}"`) as string;
}

/** A text column that keeps every JavaScript string as it is; used wherever a text can come from a meeting log. */
export const exactText = customType<{ data: string; driverData: string }>({
  dataType: () => 'text',
  toDriver: encodeExact,
  fromDriver: decodeExact,
});
