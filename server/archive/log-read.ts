import type { MeetingFacts } from '../results/meeting-facts.ts';
import { JsonError, readJson } from '../shared/json-reader.ts';
import { readLine } from './log-lines.ts';
import { MeetingBuilder } from './meeting-builder.ts';
import { LineError, type LogRefusal } from './refusal.ts';

/** What became of reading a log: the meeting, or the first bad line and why it is bad. */
export type LogReading =
  | { readonly facts: MeetingFacts; readonly refusal?: never }
  | { readonly refusal: LogRefusal; readonly facts?: never };

const lineFeed = 0x0a;

/**
 * Reads a meeting log: JSON Lines in UTF-8, one object a line. It is taken whole or not at all.
 *
 * @param bytes of the log, with or without a line end after the last line
 */
export function readLog(bytes: Uint8Array): LogReading {
  const meeting = new MeetingBuilder();
  let number = 0;
  try {
    for (const line of linesOf(bytes)) {
      number++;
      meeting.add(readLine(readJson(decode(line))), number);
    }
  } catch (error) {
    if (error instanceof JsonError || error instanceof LineError) {
      return { refusal: { line: number, code: error.code, what: excerpt(error.what) } };
    }
    throw error;
  }
  return meeting.finish(number);
}

/** Cuts at line feeds only: within UTF-8 text no other character has that byte, and U+2028 ends no line. */
function* linesOf(bytes: Uint8Array): Iterable<Uint8Array> {
  for (let from = 0; from < bytes.length; ) {
    const feed = bytes.indexOf(lineFeed, from);
    const to = feed < 0 ? bytes.length : feed;
    yield bytes.subarray(from, to);
    from = to + 1;
  }
}

/** Names in a log may be of any length; a refusal shows as much as one can read. */
function excerpt(what: string): string {
  const characters = Array.from(what.slice(0, 200));
  return characters.length > 60 ? `${characters.slice(0, 59).join('')}…` : what;
}

const utf8 = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });

function decode(line: Uint8Array): string {
  try {
    return utf8.decode(line);
  } catch {
    throw new LineError('not-utf-8');
  }
}
