import type { ProfileProblem } from '../model/check.ts';

/** What is wrong with a profile that came from elsewhere. */
export type ProblemCode =
  // Any text or file
  | 'TOO_LARGE'
  | 'VERSION'
  | 'RANGE'
  | 'BAD_TEXT'
  // A file
  | 'BAD_UTF8'
  | 'NOT_JSON'
  | 'DUPLICATE_KEY'
  | 'TOO_DEEP'
  | 'UNKNOWN_KEY'
  | 'CALIBRATION_NOT_ALLOWED'
  | 'HASH_MISMATCH'
  // A short code
  | 'NOT_A_CODE'
  | 'BAD_CHARACTER'
  | 'BAD_CHECKSUM'
  | 'BAD_LENGTH';

/** Which rule a value breaks: its own range and kind, that it must be there, or one that binds several values. */
export type RangeRule = 'value' | 'missing' | ProfileProblem;

/** Why a profile is refused. Nothing of what was refused is kept. */
export class ExchangeProblem extends Error {
  readonly code: ProblemCode;
  /** The key or character concerned, such as `drag.zoneTo`; may be empty. */
  readonly what: string;
  /** Of `RANGE` only. */
  readonly rule: RangeRule;

  constructor(code: ProblemCode, what = '', rule: RangeRule = 'value') {
    super(code);
    this.code = code;
    this.what = what;
    this.rule = rule;
  }
}
