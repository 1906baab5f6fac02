/**
 * Why the bundled database did not start.
 *
 * - `unsupported`: no PostgreSQL for this machine is bundled, or it does not run here; detail: platform and reason
 * - `in_use`: another process runs a database on the same folder
 * - `not_writable`: the folder cannot be made or written; detail: the system's error code
 * - `unreachable`: started as root, and the user that runs the database cannot enter the folder; detail: that user's id
 * - `wrong_owner`: the folder belongs to another user; detail: that user's id
 * - `no_user`: started as root, and there is no user to run the database
 * - `other_version`: the folder was made by another major version of PostgreSQL; detail: that version
 * - `failed`: PostgreSQL itself gave up; detail: its last words
 */
export type EmbeddedErrorCode =
  | 'unsupported'
  | 'in_use'
  | 'not_writable'
  | 'unreachable'
  | 'wrong_owner'
  | 'no_user'
  | 'other_version'
  | 'failed';

/** The bundled database did not start. What a person reads is made from `code` and `detail`. */
export class EmbeddedError extends Error {
  readonly code: EmbeddedErrorCode;
  readonly detail: string;

  constructor(code: EmbeddedErrorCode, detail = '') {
    super(['bundled PostgreSQL', code, detail].filter(Boolean).join(': '));
    this.name = 'EmbeddedError';
    this.code = code;
    this.detail = detail;
  }
}

/** The system's code of a failed call, such as `EACCES`; empty when it has none. */
export function systemCode(error: unknown): string {
  return error instanceof Error && 'code' in error ? String(error.code) : '';
}
