import type { Curve, CurvePoint, Tuning } from '../model/profile.ts';
import { type Bits, bitsOf, bitsOfBytes, bytesOf, numberOf } from './bits.ts';
import { crc24 } from './crc24.ts';
import { foldSymbols, fromSymbols, toSymbols } from './crockford.ts';
import { ExchangeProblem } from './problem.ts';
import { checkAcross, checkRanges, checkTexts, isNameLength } from './rules.ts';

/**
 * A profile as a short code that can be read out, typed or scanned:
 *
 *     CP1-2051Y-G500F-M0000-4P3X0-S09F4-9D
 *
 * It carries the ten tuning fields, and the name if wanted; never the notes. The bits are the version (4), a flag each
 * for points, fast, sync, closingOnly and a name; the numbers in {@link widths}; the curve; the name; zeros until five
 * divides everything; a CRC of 24 bits. The text is Crockford's Base 32 of them.
 */

const prefix = 'CP1';
const version = 1;
const symbolsPerGroup = 5;
const checkBits = 24;
/** Longest text that is looked at, before blanks and hyphens are taken out. */
export const longestCode = 200;
/** Longest name that a code carries, in bytes of UTF-8. */
const longestCodeName = 31;

const widths = {
  minDrive: 10,
  maxDrive: 10,
  releaseBand: 8,
  rampUpMs: 9,
  brakeFull: 10,
  strength: 10,
  zoneFrom: 10,
  zoneTo: 10,
  pwmHz: 13,
  shape: 8,
  pointCount: 3,
  pointValue: 10,
  nameBytes: 5,
} as const;

/** A shape is sent as a number that is never below nought. */
const shapeOffset = 100;

/** What a code holds: the settings, and the name if it carries one. */
export interface CodedProfile {
  readonly tuning: Tuning;
  readonly name: string | null;
}

/** The code for people: groups of five, `CP1-…`. */
export function shortCode(tuning: Tuning, name: string | null = null): string {
  const groups = symbolsOf(tuning, name).match(new RegExp(`.{1,${symbolsPerGroup}}`, 'g')) ?? [];
  return [prefix, ...groups].join('-');
}

/** The code for a QR symbol: `CP1:…`, all of it in the alphanumeric set of ISO/IEC 18004. */
export function qrText(tuning: Tuning, name: string | null = null): string {
  return `${prefix}:${symbolsOf(tuning, name)}`;
}

/** The name as a code carries it: whole characters from its beginning, as many as fit. */
export function nameInCode(name: string): string {
  const encoder = new TextEncoder();
  let text = '';
  let bytes = 0;
  for (const character of name) {
    bytes += encoder.encode(character).length;
    if (bytes > longestCodeName) break;
    text += character;
  }
  return text;
}

function symbolsOf(tuning: Tuning, name: string | null): string {
  const content = contentOf(tuning, name === null ? new Uint8Array() : new TextEncoder().encode(nameInCode(name)));
  while ((content.length + checkBits) % 5 !== 0) content.push(0);
  return toSymbols([...content, ...bitsOf(checkOf(content), checkBits)]);
}

function contentOf(tuning: Tuning, name: Uint8Array): Bits {
  const { curve, drag } = tuning;
  const flags = [
    curve.kind === 'points',
    tuning.decay === 'fast',
    tuning.rectify === 'sync',
    drag.closingOnly,
    name.length > 0,
  ];
  return [
    ...bitsOf(version, 4),
    ...flags.flatMap((flag) => bitsOf(Number(flag), 1)),
    ...bitsOf(tuning.minDrive, widths.minDrive),
    ...bitsOf(tuning.maxDrive, widths.maxDrive),
    ...bitsOf(tuning.releaseBand, widths.releaseBand),
    ...bitsOf(tuning.rampUpMs, widths.rampUpMs),
    ...bitsOf(tuning.brakeFull, widths.brakeFull),
    ...bitsOf(drag.strength, widths.strength),
    ...bitsOf(drag.zoneFrom, widths.zoneFrom),
    ...bitsOf(drag.zoneTo, widths.zoneTo),
    ...bitsOf(tuning.pwmHz, widths.pwmHz),
    ...curveBits(curve),
    ...(name.length > 0 ? [...bitsOf(name.length, widths.nameBytes), ...bitsOfBytes(name)] : []),
  ];
}

/** The first and last point are always the same ones, so only those between are sent. */
function curveBits(curve: Curve): Bits {
  if (curve.kind === 'shape') return bitsOf(curve.shape + shapeOffset, widths.shape);
  const inner = curve.points.slice(1, -1);
  return [
    ...bitsOf(inner.length, widths.pointCount),
    ...inner.flatMap((point) => point.flatMap((value) => bitsOf(value, widths.pointValue))),
  ];
}

function checkOf(content: Bits): number {
  return crc24([...new TextEncoder().encode(prefix), ...bytesOf(content)]);
}

/**
 * Reads a code as somebody typed it: any case, hyphens and blanks anywhere, O for 0, I and L for 1.
 *
 * @throws ExchangeProblem
 */
export function readCode(typed: string): CodedProfile {
  if (typed.length > longestCode) throw new ExchangeProblem('TOO_LARGE');
  const folded = foldSymbols(typed.replace(/[\s\p{Pd}]/gu, ''));
  if (!folded.startsWith(prefix)) throw new ExchangeProblem(/^CP\d/.test(folded) ? 'VERSION' : 'NOT_A_CODE');
  const read = fromSymbols(folded.slice(prefix.length).replace(/^:/, ''));
  if ('stranger' in read) throw new ExchangeProblem('BAD_CHARACTER', read.stranger);
  const content = read.bits.slice(0, -checkBits);
  if (content.length === 0) throw new ExchangeProblem('BAD_LENGTH');
  if (numberOf(read.bits.slice(-checkBits)) !== checkOf(content)) throw new ExchangeProblem('BAD_CHECKSUM');
  const coded = readContent(content);
  checkRanges(coded.tuning);
  checkAcross(coded.tuning);
  if (coded.name !== null) {
    if (!isNameLength(coded.name)) throw new ExchangeProblem('RANGE', 'name');
    checkTexts({ name: coded.name });
  }
  return coded;
}

function readContent(content: Bits): CodedProfile {
  let at = 0;
  const take = (width: number): Bits => {
    if (at + width > content.length) throw new ExchangeProblem('BAD_LENGTH');
    at += width;
    return content.slice(at - width, at);
  };
  const number = (width: number) => numberOf(take(width));
  const flag = () => number(1) === 1;

  if (number(4) !== version) throw new ExchangeProblem('VERSION');
  const [hasPoints, isFast, isSync, closingOnly, hasName] = [flag(), flag(), flag(), flag(), flag()];
  // Properties are read in the order in which they are written here.
  const numbers = {
    minDrive: number(widths.minDrive),
    maxDrive: number(widths.maxDrive),
    releaseBand: number(widths.releaseBand),
    rampUpMs: number(widths.rampUpMs),
    brakeFull: number(widths.brakeFull),
  };
  const drag = {
    strength: number(widths.strength),
    zoneFrom: number(widths.zoneFrom),
    zoneTo: number(widths.zoneTo),
    closingOnly,
  };
  const pwmHz = number(widths.pwmHz);
  const curve: Curve = hasPoints ? readPoints(number) : { kind: 'shape', shape: number(widths.shape) - shapeOffset };
  const name = hasName ? decoded(bytesOf(take(8 * number(widths.nameBytes)))) : null;
  const left = content.slice(at);
  if (left.length >= 5 || left.includes(1)) throw new ExchangeProblem('BAD_LENGTH');
  return {
    tuning: { ...numbers, curve, drag, pwmHz, decay: isFast ? 'fast' : 'slow', rectify: isSync ? 'sync' : 'async' },
    name,
  };
}

function readPoints(number: (width: number) => number): Curve {
  const inner = Array.from(
    { length: number(widths.pointCount) },
    (): CurvePoint => [number(widths.pointValue), number(widths.pointValue)],
  );
  return { kind: 'points', points: [[0, 0], ...inner, [1000, 1000]] };
}

function decoded(bytes: Uint8Array): string {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    throw new ExchangeProblem('BAD_TEXT', 'name');
  }
}
