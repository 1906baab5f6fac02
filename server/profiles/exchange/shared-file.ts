import { JsonError, type JsonRuleCode, JsonRuleError, type JsonValue, readJson } from '../../shared/json-reader.ts';
import type { Profile } from '../model/profile.ts';
import { canonicalText } from './canonical.ts';
import { ExchangeProblem, type ProblemCode } from './problem.ts';
import { lookForCalibration, Problems, profileValue, sharedValue } from './profile-value.ts';
import { checkAcross, checkTexts } from './rules.ts';
import { setupHash } from './setup-hash.ts';

/** No file of a profile is larger, in bytes. */
export const largestFile = 16_384;

/** A profile needs five: file, profile, curve, points, point. */
const deepest = 6;

/** A profile from elsewhere, checked, and its setup hash. */
export interface ReadProfile {
  readonly profile: Profile;
  readonly hash: string;
}

/** The file of a profile: canonical JSON (RFC 8785) with the setup hash. Name and notes go along. */
export function sharedText(profile: Profile): string {
  return canonicalText({ type: 'ctl-profile', v: 1, profile, hash: `sha256:${setupHash(profile)}` });
}

/**
 * Reads the file of a profile. Checks come in this order: size, UTF-8, JSON as written, version, values, a calibration,
 * keys, rules that bind several settings, texts, the hash if there is one.
 *
 * @throws ExchangeProblem
 */
export function readShared(bytes: Uint8Array): ReadProfile {
  return readDocument(parsed(bytes), false);
}

/** Reads the file of a profile, or a profile object alone. @throws ExchangeProblem */
export function readSharedOrBare(bytes: Uint8Array): ReadProfile {
  const value = parsed(bytes);
  const isBare = value instanceof Map && !['type', 'v', 'profile', 'hash'].some((key) => value.has(key));
  return readDocument(value, isBare);
}

function readDocument(value: JsonValue, isBare: boolean): ReadProfile {
  const problems = new Problems();
  const { profile, hash: stated } = isBare
    ? { profile: profileValue(value, '', problems), hash: null }
    : sharedValue(value, problems);
  lookForCalibration(value, problems);
  problems.throwWorst();
  checkAcross(profile);
  checkTexts(profile);
  const hash = setupHash(profile);
  if (stated !== null && stated !== `sha256:${hash}`) throw new ExchangeProblem('HASH_MISMATCH');
  return { profile, hash };
}

const utf8 = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true });

const ruleCodes: Record<JsonRuleCode, ProblemCode> = {
  'too-deep': 'TOO_DEEP',
  'minus-zero': 'RANGE',
  'not-finite': 'RANGE',
  'lone-surrogate': 'BAD_TEXT',
};

function parsed(bytes: Uint8Array): JsonValue {
  if (bytes.length > largestFile) throw new ExchangeProblem('TOO_LARGE');
  const text = decoded(bytes);
  try {
    return readJson(text, { deepest });
  } catch (error) {
    if (error instanceof JsonRuleError) throw new ExchangeProblem(ruleCodes[error.code]);
    if (!(error instanceof JsonError)) throw error;
    throw error.code === 'key-twice'
      ? new ExchangeProblem('DUPLICATE_KEY', error.what)
      : new ExchangeProblem('NOT_JSON');
  }
}

function decoded(bytes: Uint8Array): string {
  try {
    const text = utf8.decode(bytes);
    if (!text.startsWith('\ufeff')) return text;
  } catch {
    // Told below.
  }
  throw new ExchangeProblem('BAD_UTF8');
}
