/** One field of a form that was sent as `multipart/form-data`. */
export type FormPart = {
  readonly name: string;
  /** Null for a field that is no file. */
  readonly filename: string | null;
  readonly bytes: Uint8Array;
};

/** A form of ours has two or three fields. */
const mostParts = 10;

const utf8 = new TextDecoder();
const encode = (text: string) => new TextEncoder().encode(text);

/**
 * Reads a form that carries a file: the format of RFC 7578 as browsers write it (nothing before the first boundary).
 *
 * @param contentType the request's header, which names the boundary
 * @returns the fields in their order; null for a body that is not in this format, or has more than ten parts
 */
export function readMultipart(body: Uint8Array, contentType: string): FormPart[] | null {
  const boundary = boundaryOf(contentType);
  if (boundary === null) return null;
  const first = encode(`--${boundary}`);
  if (!startsWith(body, first, 0)) return null;
  const delimiter = encode(`\r\n--${boundary}`);
  const parts: FormPart[] = [];
  // Where the line of the last boundary goes on: with a line end, or with the two hyphens of the last one.
  let at = first.length;
  while (!startsWith(body, encode('--'), at)) {
    const head = at + 2;
    const blank = find(body, encode('\r\n\r\n'), at);
    const end = blank < 0 ? -1 : find(body, delimiter, blank + 2);
    if (!startsWith(body, encode('\r\n'), at) || end < blank + 4 || parts.length === mostParts) return null;
    const part = partOf(utf8.decode(body.subarray(head, blank)), body.subarray(blank + 4, end));
    if (part === null) return null;
    parts.push(part);
    at = end + delimiter.length;
  }
  return parts;
}

/** RFC 2046: at most 70 characters, in quotes where they would otherwise end the parameter. */
function boundaryOf(contentType: string): string | null {
  if (!/^multipart\/form-data\s*;/i.test(contentType)) return null;
  const match = /;\s*boundary=(?:"([^"\r\n]{1,70})"|([^\s;"]{1,70}))/i.exec(contentType);
  return match?.[1] ?? match?.[2] ?? null;
}

function partOf(head: string, bytes: Uint8Array): FormPart | null {
  const disposition = head.split('\r\n').find((line) => /^content-disposition:/i.test(line)) ?? '';
  if (!/^content-disposition:\s*form-data\s*;/i.test(disposition)) return null;
  const name = /;\s*name="([^"]*)"/i.exec(disposition)?.[1];
  if (name === undefined) return null;
  return { name, filename: /;\s*filename="([^"]*)"/i.exec(disposition)?.[1] ?? null, bytes };
}

function startsWith(bytes: Uint8Array, wanted: Uint8Array, at: number): boolean {
  return wanted.every((byte, i) => bytes[at + i] === byte);
}

/** First place of `wanted` from `from` on, or -1. */
function find(bytes: Uint8Array, wanted: Uint8Array, from: number): number {
  const [first = 0] = wanted;
  let at = bytes.indexOf(first, from);
  while (at >= 0 && !startsWith(bytes, wanted, at)) at = bytes.indexOf(first, at + 1);
  return at;
}
