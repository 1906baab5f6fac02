/** One record of a CSV text, with the line its first field stands on, from 1. */
export interface CsvRecord {
  readonly line: number;
  readonly fields: readonly string[];
}

/**
 * Reads CSV as RFC 4180 has it: fields in quotes may hold commas, line ends and doubled quotes. Also takes a byte order
 * mark, line ends of one character, and spaces around fields that are not quoted. Empty lines are passed over. A quote
 * that nobody closes runs to the end of the text.
 */
export function* csvRecords(text: string): Generator<CsvRecord, void> {
  let at = text.startsWith('\ufeff') ? 1 : 0;
  let line = 1;
  while (at < text.length) {
    let end = text.indexOf('\n', at);
    if (end < 0) end = text.length;
    const plain = text.slice(at, end);
    if (!plain.includes('"')) {
      const fields = plain.split(',');
      for (let i = 0; i < fields.length; i++) fields[i] = (fields[i] as string).trim();
      if (fields.length > 1 || fields[0] !== '') yield { line, fields };
      at = end + 1;
      line++;
      continue;
    }
    const quoted = quotedRecord(text, at);
    yield { line, fields: quoted.fields };
    line += quoted.lines;
    at = quoted.end;
  }
}

/** A record with quotes in it, one character after the other; `end` is where the next one begins. */
function quotedRecord(text: string, start: number) {
  const fields: string[] = [];
  let field = '';
  let wasQuoted = false;
  let inQuotes = false;
  let lines = 1;
  let at = start;
  const close = () => {
    fields.push(wasQuoted ? field : field.trim());
    field = '';
    wasQuoted = false;
  };
  for (; at < text.length; at++) {
    const c = text[at] as string;
    if (inQuotes) {
      if (c === '\n') lines++;
      if (c !== '"') field += c;
      else if (text[at + 1] === '"') {
        field += c;
        at++;
      } else inQuotes = false;
    } else if (c === '"' && field.trim() === '' && !wasQuoted) {
      field = '';
      wasQuoted = true;
      inQuotes = true;
    } else if (c === ',') close();
    else if (c === '\n') break;
    else if (!wasQuoted || c.trim() !== '') field += c;
  }
  close();
  return { fields, lines, end: at + 1 };
}
