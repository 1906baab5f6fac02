import { z } from 'zod';
import { profileEditor as t } from '../../views/texts/en/profile-editor.ts';
import { choiceField, decimalField, integerField, nameField, optionalField, tickField } from '../shared/fields.ts';
import { innerPoints, pointField } from './editor-form.ts';
import { isNameLength } from './exchange/rules.ts';
import {
  type CurvePoint,
  curvePoints,
  leastDriveSpan,
  longestName,
  longestNotes,
  type Profile,
  ranges,
} from './model/profile.ts';
import { lineField } from './schemas.ts';

/** Percent with a decimal, kept as permille. */
const percent = ([min, max]: readonly [number, number]) => decimalField(min / 10, max / 10, 10);
const integer = ([min, max]: readonly [number, number]) => integerField(min, max);

const notes = lineField(longestNotes, { long: t.notesLong, characters: t.notesCharacters });

const settings = z.object({
  name: nameField(longestName).refine(isNameLength, t.nameLong),
  notes,
  minDrive: percent(ranges.minDrive),
  maxDrive: percent(ranges.maxDrive),
  releaseBand: percent(ranges.releaseBand),
  curveKind: choiceField(['shape', 'points']),
  rampUpMs: integer(ranges.rampUpMs),
  brakeFull: percent(ranges.brakeFull),
  dragStrength: percent(ranges.dragStrength),
  zoneFrom: percent(ranges.dragZone),
  zoneTo: percent(ranges.dragZone),
  closingOnly: tickField,
  pwmHz: integer(ranges.pwmHz),
  decay: choiceField(['slow', 'fast']),
  rectify: choiceField(['async', 'sync']),
});

type Fields = Readonly<Record<string, unknown>>;
type Refuse = (field: string, message: string) => void;

/**
 * The editor's form to a profile. Every field is looked at, so that one answer names all that is wrong; sentences stand
 * under the name of their field.
 */
export const editorSchema = z.record(z.string(), z.unknown()).transform((fields, ctx): Profile => {
  let refused = false;
  const refuse: Refuse = (field, message) => {
    refused = true;
    ctx.addIssue({ code: 'custom', path: [field], message });
  };
  const parsed = settings.safeParse(fields);
  for (const issue of parsed.error?.issues ?? []) refuse(String(issue.path[0]), issue.message);
  const curve = fields.curveKind === 'points' ? pointsFrom(fields, refuse) : shapeFrom(fields, refuse);
  betweenFields(fields, refuse);
  if (!parsed.success || refused) return z.NEVER;
  const { name, notes: said, curveKind: _, dragStrength, zoneFrom, zoneTo, closingOnly, ...rest } = parsed.data;
  return {
    name,
    ...(said === '' ? {} : { notes: said }),
    ...rest,
    curve,
    drag: { strength: dragStrength, zoneFrom, zoneTo, closingOnly },
  };
});

/** Rules between two fields that are each right; those of wrong fields wait. */
function betweenFields(fields: Fields, refuse: Refuse): void {
  const read = (name: 'minDrive' | 'maxDrive' | 'zoneFrom' | 'zoneTo') => {
    const parsed = settings.shape[name].safeParse(fields[name]);
    return parsed.success ? parsed.data : Number.NaN;
  };
  if (read('maxDrive') < read('minDrive') + leastDriveSpan) refuse('maxDrive', t.maxTooLow);
  if (read('zoneTo') < read('zoneFrom')) refuse('zoneTo', t.zoneEnds);
  if (fields.rectify === 'sync' && fields.decay === 'fast') refuse('decay', t.syncFast);
}

function shapeFrom(fields: Fields, refuse: Refuse): Profile['curve'] {
  const shape = integer(ranges.shape).safeParse(fields.shape);
  if (shape.success) return { kind: 'shape', shape: shape.data };
  for (const { message } of shape.error.issues) refuse('shape', message);
  return z.NEVER;
}

const ends = { first: [0, 0], last: [1000, 1000] } as const;
const coordinate = optionalField(percent([0, 1000]));

/** The points of the filled rows, sorted by trigger, between the two ends. */
function pointsFrom(fields: Fields, refuse: Refuse): Profile['curve'] {
  const rows: { number: number; x: number; y: number }[] = [];
  for (let number = 1; number <= innerPoints; number++) {
    const read = (part: 'x' | 'y') => {
      const parsed = coordinate.safeParse(fields[pointField(number, part)] ?? '');
      if (parsed.success) return parsed.data;
      for (const { message } of parsed.error.issues) refuse(pointField(number, part), message);
      return Number.NaN;
    };
    const [x, y] = [read('x'), read('y')];
    if (x === null && y === null) continue;
    if (x === null || y === null) refuse(pointField(number, x === null ? 'x' : 'y'), t.points.both);
    else if (x + y >= 0) rows.push({ number, x, y });
  }
  rows.sort((a, b) => a.x - b.x || a.number - b.number);
  let [beforeX, beforeY]: CurvePoint = ends.first;
  rows.forEach(({ number, x, y }, index) => {
    const isLast = index === rows.length - 1;
    const tooClose = x - beforeX < curvePoints.leastApart || (isLast && ends.last[0] - x < curvePoints.leastApart);
    if (tooClose) refuse(pointField(number, 'x'), t.points.apart);
    if (y < beforeY) refuse(pointField(number, 'y'), t.points.falls);
    [beforeX, beforeY] = [x, y];
  });
  return { kind: 'points', points: [ends.first, ...rows.map(({ x, y }): CurvePoint => [x, y]), ends.last] };
}
