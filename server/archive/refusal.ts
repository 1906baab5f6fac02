import type { RulingRefusal } from '../heats/ruling-checks.ts';
import type { JsonErrorCode } from '../shared/json-reader.ts';

/** Why a line of a meeting log is refused. */
export type LogRefusalCode =
  | JsonErrorCode
  | RulingRefusal
  | 'not-utf-8'
  | 'not-an-object'
  | 'unknown-type'
  | 'unknown-key'
  | 'missing-key'
  | 'wrong-kind'
  | 'unknown-word'
  | 'out-of-range'
  | 'unknown-version'
  | 'no-such-date'
  | 'endless-heat'
  | 'meeting-not-first'
  | 'meeting-twice'
  | 'track-missing'
  | 'track-twice'
  | 'id-twice'
  | 'lane-twice'
  | 'entry-twice'
  | 'no-such-driver'
  | 'no-such-race'
  | 'no-such-entry'
  | 'no-such-heat'
  | 'no-such-device'
  | 'heat-of-another-race'
  | 'crossing-differs'
  | 'number-out-of-turn'
  | 'instants-fall'
  | 'too-many-heats';

/** The first bad line of a log, from 1, and why. `what` names the key, name or number concerned, or is empty. */
export type LogRefusal = { readonly line: number; readonly code: LogRefusalCode; readonly what: string };

/** Thrown where a line is found bad, and caught where its number is known. */
export class LineError extends Error {
  readonly code: LogRefusalCode;
  readonly what: string;

  constructor(code: LogRefusalCode, what: string | number = '') {
    super(code);
    this.code = code;
    this.what = String(what);
  }
}
