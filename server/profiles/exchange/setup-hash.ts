import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';
import { type Tuning, tuningOf } from '../model/profile.ts';
import { canonicalText } from './canonical.ts';

/**
 * The same for the same setup: SHA-256 of the canonical text of the ten tuning fields alone, so a name or notes do not
 * change it. It says "same setup", not "from whom".
 *
 * @returns 64 hexadecimal digits in small letters
 */
export function setupHash(tuning: Tuning): string {
  return bytesToHex(sha256(utf8ToBytes(canonicalText(tuningOf(tuning)))));
}
