import canonicalize from 'canonicalize';

/**
 * The canonical text of a JSON value after RFC 8785: keys sorted by UTF-16 code units, numbers as ECMAScript prints
 * them, no blanks.
 *
 * @throws TypeError for what is no JSON
 */
export function canonicalText(value: unknown): string {
  const text = canonicalize(value);
  if (text === undefined) throw new TypeError('no JSON value');
  return text;
}
