import type { JsonObject, JsonValue } from '../../shared/json-reader.ts';
import { type Curve, type CurvePoint, curvePoints, type Drag, type Profile, ranges } from '../model/profile.ts';
import { ExchangeProblem } from './problem.ts';
import { isNameLength, isNotesLength, isWithin } from './rules.ts';

/**
 * What the published JSON Schema (`urn:ctl-profile:1`) asks, on a document that was read strictly. Every problem is
 * noted; which of them is told is a matter of {@link Problems.throwWorst}.
 */

const profileKeys = [
  'name',
  'notes',
  'minDrive',
  'maxDrive',
  'releaseBand',
  'curve',
  'rampUpMs',
  'brakeFull',
  'drag',
  'pwmHz',
  'decay',
  'rectify',
];

/** Belongs to one piece of hardware, so it never travels with a profile. */
const calibrationKeys = ['calibration', 'released', 'pressed', 'counts'];

/**
 * In the order in which they are told. A calibration is looked for before unknown keys are, because it can only stand
 * under one; a key that is missing comes last, because a misspelt one is missing and unknown at once.
 */
const stages = ['version', 'value', 'calibration', 'key', 'missing'] as const;

export class Problems {
  readonly #first = new Map<(typeof stages)[number], ExchangeProblem>();

  note(stage: (typeof stages)[number], problem: ExchangeProblem): void {
    if (!this.#first.has(stage)) this.#first.set(stage, problem);
  }

  /** @throws ExchangeProblem if there is any */
  throwWorst(): void {
    for (const stage of stages) {
      const problem = this.#first.get(stage);
      if (problem) throw problem;
    }
  }
}

/** `{type, v, profile, hash}`. What it gives is only right where `problems` stays empty. */
export function sharedValue(value: JsonValue, problems: Problems): { profile: Profile; hash: string | null } {
  const read = objectReader(value, '', ['type', 'v', 'profile', 'hash'], problems);
  if (read.get('type') !== 'ctl-profile' || read.get('v') !== 1)
    problems.note('version', new ExchangeProblem('VERSION'));
  const hash = read.get('hash') ?? null;
  if (read.has('hash') && !(typeof hash === 'string' && /^sha256:[0-9a-f]{64}$/.test(hash))) read.wrong('hash');
  const profile = read.has('profile') ? read.get('profile') : read.missing('profile');
  return { profile: profileValue(profile ?? new Map(), 'profile', problems), hash: hash as string | null };
}

/** A profile object. What it gives is only right where `problems` stays empty. */
export function profileValue(value: JsonValue, path: string, problems: Problems): Profile {
  const read = objectReader(value, path, profileKeys, problems);
  const notes = read.get('notes');
  const isNotes = typeof notes === 'string' && isNotesLength(notes);
  if (read.has('notes') && !isNotes) read.wrong('notes');
  return {
    name: read.text('name', isNameLength),
    ...(isNotes ? { notes } : {}),
    minDrive: read.number('minDrive', ranges.minDrive),
    maxDrive: read.number('maxDrive', ranges.maxDrive),
    releaseBand: read.number('releaseBand', ranges.releaseBand),
    curve: curveValue(read.any('curve'), problems),
    rampUpMs: read.number('rampUpMs', ranges.rampUpMs),
    brakeFull: read.number('brakeFull', ranges.brakeFull),
    drag: dragValue(read.any('drag'), problems),
    pwmHz: read.number('pwmHz', ranges.pwmHz),
    decay: read.word('decay', ['slow', 'fast']),
    rectify: read.word('rectify', ['async', 'sync']),
  };
}

/** Notes a calibration anywhere in a document. */
export function lookForCalibration(value: JsonValue, problems: Problems): void {
  if (Array.isArray(value)) for (const item of value) lookForCalibration(item, problems);
  if (!(value instanceof Map)) return;
  for (const [key, inner] of value) {
    if (calibrationKeys.includes(key)) {
      problems.note('calibration', new ExchangeProblem('CALIBRATION_NOT_ALLOWED', key));
    }
    lookForCalibration(inner, problems);
  }
}

function curveValue(value: JsonValue, problems: Problems): Curve {
  if (value instanceof Map && value.get('kind') === 'points') {
    const read = objectReader(value, 'curve', ['kind', 'points'], problems);
    const points = read.has('points') ? read.get('points') : read.missing('points');
    if (read.has('points') && !arePoints(points)) read.wrong('points');
    return { kind: 'points', points: (points ?? []) as unknown as CurvePoint[] };
  }
  const read = objectReader(value, 'curve', ['kind', 'shape'], problems);
  read.word('kind', ['shape']);
  return { kind: 'shape', shape: read.number('shape', ranges.shape) };
}

const arePoints = (value: JsonValue | undefined) =>
  Array.isArray(value) &&
  isWithin(value.length, [curvePoints.fewest, curvePoints.most]) &&
  value.every((p) => Array.isArray(p) && p.length === 2 && p.every((n) => isWithin(n, [0, 1000])));

function dragValue(value: JsonValue, problems: Problems): Drag {
  const read = objectReader(value, 'drag', ['strength', 'zoneFrom', 'zoneTo', 'closingOnly'], problems);
  return {
    strength: read.number('strength', ranges.dragStrength),
    zoneFrom: read.number('zoneFrom', ranges.dragZone),
    zoneTo: read.number('zoneTo', ranges.dragZone),
    closingOnly: read.flag('closingOnly'),
  };
}

/** Reads the keys of one object; the keys that it may have are `known`. */
function objectReader(value: JsonValue, path: string, known: readonly string[], problems: Problems) {
  const object: JsonObject = value instanceof Map ? value : new Map();
  const at = (key: string) => (path === '' || path === 'profile' ? key : `${path}.${key}`);
  const wrong = (key: string) => problems.note('value', new ExchangeProblem('RANGE', at(key)));
  const missing = (key: string) => problems.note('missing', new ExchangeProblem('RANGE', at(key), 'missing'));
  if (!(value instanceof Map)) problems.note('value', new ExchangeProblem('RANGE', path));
  for (const key of object.keys()) {
    if (!known.includes(key)) problems.note('key', new ExchangeProblem('UNKNOWN_KEY', at(key)));
  }
  /** The value of a key that is there and right; otherwise notes what is wrong with it. */
  const checked = <T extends JsonValue>(key: string, isRight: (found: JsonValue) => boolean, otherwise: T): T => {
    const found = object.get(key);
    if (found === undefined) missing(key);
    else if (!isRight(found)) wrong(key);
    else return found as T;
    return otherwise;
  };
  return {
    has: (key: string) => object.has(key),
    get: (key: string) => object.get(key),
    wrong: (key: string): void => wrong(key),
    missing: (key: string): undefined => void missing(key),
    number: (key: string, range: readonly [number, number]) => checked(key, (v) => isWithin(v, range), range[0]),
    text: (key: string, isRight: (text: string) => boolean) =>
      checked(key, (v) => typeof v === 'string' && isRight(v), ''),
    flag: (key: string) => checked(key, (v) => typeof v === 'boolean', false),
    word: <const W extends readonly [string, ...string[]]>(key: string, words: W) =>
      checked<W[number]>(key, (v) => typeof v === 'string' && words.includes(v), words[0]),
    any: (key: string) => checked<JsonValue>(key, () => true, new Map()),
  };
}
