/**
 * Where the handles of a throttle curve stand, and what dragging them means. The curve itself is drawn by the server;
 * this knows only the points that somebody takes hold of. Everything is in percent, as in the fields.
 */

export interface CurvePointField {
  /** Its row in the form, from 1. */
  readonly number: number;
  readonly x: number;
  readonly y: number;
}

/** The fields of the form that decide where handles stand. */
export interface CurveFields {
  readonly minDrive: number;
  readonly maxDrive: number;
  readonly releaseBand: number;
  readonly kind: 'shape' | 'points';
  readonly shape: number;
  readonly points: readonly CurvePointField[];
}

export type HandleKey = 'min' | 'max' | 'shape' | number;

/** A place in the picture: part of the trigger and drive, both in percent. */
export interface Place {
  readonly trigger: number;
  readonly drive: number;
}

export interface HandlePlace extends Place {
  readonly key: HandleKey;
}

/** New values of fields by name. */
export type Changes = Readonly<Record<string, number>>;

/** Least distance of maximum from minimum drive, and of neighbouring points. */
const driveSpan = 5;
const pointsApart = 2;
const limits = { minDrive: [0, 60], maxDrive: [10, 100], shape: [-100, 100] } as const;

/** Holds a value between two limits; a tenth is the least that the form tells apart. */
const clamp = (value: number, low: number, high: number) => Math.round(10 * Math.min(high, Math.max(low, value))) / 10;

/** How much one unit of the shape's number bends the curve: k = 8^(shape / 100). */
const bend = (shape: number) => 8 ** (shape / 100);

const toTrigger = (fields: CurveFields, u: number) => fields.releaseBand + (u * (100 - fields.releaseBand)) / 100;
const toDrive = (fields: CurveFields, c: number) => fields.minDrive + (c * (fields.maxDrive - fields.minDrive)) / 100;
const fromTrigger = (fields: CurveFields, trigger: number) =>
  (100 * (trigger - fields.releaseBand)) / (100 - fields.releaseBand);
const fromDrive = (fields: CurveFields, drive: number) =>
  (100 * (drive - fields.minDrive)) / (fields.maxDrive - fields.minDrive);

/** Where every handle stands. */
export function handlePlaces(fields: CurveFields): HandlePlace[] {
  const place = (key: HandleKey, u: number, c: number): HandlePlace => ({
    key,
    trigger: toTrigger(fields, u),
    drive: toDrive(fields, c),
  });
  const k = bend(fields.shape);
  const inner =
    fields.kind === 'shape'
      ? [place('shape', 50, (100 * k) / (1 + k))]
      : fields.points.map(({ number, x, y }) => place(number, x, y));
  return [place('min', 0, 0), ...inner, place('max', 100, 100)];
}

/** What a handle means at a place: whole numbers, held within the rules of the form. */
export function movedTo(key: HandleKey, place: Place, fields: CurveFields): Changes {
  const drive = Math.round(place.drive);
  if (key === 'min') {
    return { minDrive: clamp(drive, limits.minDrive[0], Math.min(limits.minDrive[1], fields.maxDrive - driveSpan)) };
  }
  if (key === 'max') {
    return { maxDrive: clamp(drive, Math.max(limits.maxDrive[0], fields.minDrive + driveSpan), limits.maxDrive[1]) };
  }
  if (key === 'shape') return { shape: shapeAt(fromDrive(fields, place.drive) / 100) };
  return pointAt(key, { x: fromTrigger(fields, place.trigger), y: fromDrive(fields, place.drive) }, fields.points);
}

/** The number of the curve that goes through this share of drive at half trigger. */
function shapeAt(middle: number): number {
  const [low, high] = limits.shape;
  const share = Math.min(1 / (1 + bend(low)), Math.max(1 / (1 + bend(high)), middle));
  return clamp(Math.round((100 * Math.log(share / (1 - share))) / Math.log(8)), low, high) || 0;
}

/** A point between its neighbours: the curve never falls, and points keep apart. */
function pointAt(number: number, to: { x: number; y: number }, points: readonly CurvePointField[]): Changes {
  const ordered = [...points].sort((a, b) => a.x - b.x || a.number - b.number);
  const index = ordered.findIndex((point) => point.number === number);
  const before = ordered[index - 1] ?? { x: 0, y: 0 };
  const after = ordered[index + 1] ?? { x: 100, y: 100 };
  return {
    [`point${number}x`]: clamp(Math.round(to.x), before.x + pointsApart, after.x - pointsApart),
    [`point${number}y`]: clamp(Math.round(to.y), before.y, after.y),
  };
}

/** How far keys move a handle, in percent of trigger and drive or in units of the shape's number. */
const keySteps: Readonly<Record<string, readonly [right: number, up: number]>> = {
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
  ArrowRight: [1, 0],
  ArrowLeft: [-1, 0],
  PageUp: [0, 10],
  PageDown: [0, -10],
};

/**
 * What a key means for a handle; null for a key that means nothing. Handles that go up and down only take left and right
 * for down and up, as sliders do.
 */
export function keyMoved(key: HandleKey, pressed: string, fields: CurveFields): Changes | null {
  const step = keySteps[pressed];
  if (!step) return null;
  const up = step[1] || step[0];
  if (key === 'min') return movedTo('min', { trigger: 0, drive: Math.round(fields.minDrive) + up }, fields);
  if (key === 'max') return movedTo('max', { trigger: 100, drive: Math.round(fields.maxDrive) + up }, fields);
  if (key === 'shape') return { shape: clamp(fields.shape + up, limits.shape[0], limits.shape[1]) };
  const point = fields.points.find(({ number }) => number === key);
  return point ? pointAt(key, { x: point.x + step[0], y: point.y + step[1] }, fields.points) : null;
}

/** Three points on the curve of a number: where points begin when somebody changes over to them. */
export function pointsOn(shape: number): { x: number; y: number }[] {
  const k = bend(shape);
  return [25, 50, 75].map((x) => ({ x, y: Math.round((1000 * k * x) / (100 + (k - 1) * x)) / 10 }));
}

/** A new point in the middle of the widest gap between points; null where there is no room. */
export function pointBetween(points: readonly CurvePointField[]): { x: number; y: number } | null {
  const all = [{ x: 0, y: 0 }, ...[...points].sort((a, b) => a.x - b.x), { x: 100, y: 100 }];
  let best: { x: number; y: number; gap: number } | null = null;
  for (let index = 1; index < all.length; index++) {
    const [a, b] = [all[index - 1], all[index]];
    if (!a || !b) continue;
    const gap = b.x - a.x;
    if (gap < 2 * pointsApart || (best && gap <= best.gap)) continue;
    best = { x: Math.round((a.x + b.x) / 2), y: Math.round((a.y + b.y) / 2), gap };
  }
  return best && { x: best.x, y: best.y };
}
