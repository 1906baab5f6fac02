import { z } from 'zod';
import { convert } from '../../../views/texts/en/convert.ts';
import { curvePoints, leastDriveSpan, ranges } from '../model/profile.ts';
import type { Steps, UnitSheet } from './sheet.ts';

const words = convert.sheet;

/**
 * Entries a table may have, and the step between its levels in permille: with a coarser one a limit of 100 permille
 * would be rounded down to no drive at all.
 */
export const tableLimits = { entries: [2, 256], step: [1, 100] } as const;

type Range = readonly [number, number];

/** A unit may well have more points than a profile holds. */
const mostPoints = 256;

const whole = (what: string) => z.int({ error: (issue) => words.whole(what, issue.input === undefined) });

/** `min`, `max`, `step` of one setting. */
const steps = (what: string) => ({ min: whole(what), max: whole(what), step: whole(what).min(1, words.step(what)) });

/** What is both on the sheet and in a profile's range. A unit that does more than a profile can say is no mistake. */
function within<S extends Steps>(what: string, [least, most]: Range) {
  return (sheet: S, ctx: z.RefinementCtx): S => {
    const { min, max, step } = sheet;
    if (min > max) ctx.addIssue({ code: 'custom', message: words.rising(what) });
    const trimmed = {
      ...sheet,
      min: min + step * Math.max(0, Math.ceil((least - min) / step)),
      max: Math.min(max, most),
    };
    if (trimmed.min > trimmed.max) ctx.addIssue({ code: 'custom', message: words.between(what, least, most) });
    return trimmed;
  };
}

function stepsOf(what: string, range: Range) {
  return z.strictObject(steps(what), { error: words.steps(what) }).transform(within(what, range));
}

/** The same, or null for a unit without it. */
const orNone = <S extends z.ZodType>(schema: S) => schema.nullable().default(null);

const word = <const W extends readonly [string, ...string[]]>(what: string, all: W) =>
  z
    .array(z.enum(all, { error: words.oneOf(what, all) }), { error: words.oneOf(what, all) })
    .min(1, words.oneOf(what, all))
    .refine((list) => new Set(list).size === list.length, words.twice(what));

const frequencyList = z
  .array(whole(words.names.pwmHz), { error: words.list })
  .min(1, words.list)
  .transform((list) => {
    const [least, most] = ranges.pwmHz;
    return [...new Set(list)].filter((hertz) => hertz >= least && hertz <= most).sort((a, b) => a - b);
  })
  .refine((list) => list.length > 0, words.between(words.names.pwmHz, ...ranges.pwmHz));

const bounded = (what: string, [least, most]: Range) =>
  whole(what)
    .min(least, words.between(what, least, most))
    .max(most, words.between(what, least, most));

const curveKinds = z.discriminatedUnion(
  'kind',
  [
    z
      .strictObject({ kind: z.literal('number'), ...steps(words.names.curve) }, { error: words.curve })
      .transform(within(words.names.curve, ranges.shape)),
    z.strictObject({
      kind: z.literal('table'),
      n: bounded(words.names.tableEntries, tableLimits.entries),
      yStep: bounded(words.names.tableStep, tableLimits.step),
    }),
    z.strictObject({
      kind: z.literal('points'),
      max: bounded(words.names.curvePoints, [curvePoints.fewest, mostPoints]).transform((max) =>
        Math.min(max, curvePoints.most),
      ),
    }),
    z.strictObject({ kind: z.literal('any') }),
  ],
  { error: words.curve },
);

/** A file may leave the kind out: its keys tell it. */
function withKind(value: unknown): unknown {
  if (typeof value !== 'object' || value === null || 'kind' in value) return value;
  const kind = 'n' in value ? 'table' : 'step' in value ? 'number' : 'max' in value ? 'points' : undefined;
  return kind === undefined ? value : { kind, ...value };
}

const curve = z.preprocess(withKind, curveKinds.nullable()).default(null);

const { names } = words;

/**
 * A unit's sheet, cut down to the ranges of a profile where it goes beyond: so whatever the sheet allows is a profile. A
 * setting that is left out is one that the unit has not. Issues carry the path of the setting and one sentence.
 */
export const sheetSchema = z
  .strictObject(
    {
      minDrive: orNone(stepsOf(names.minDrive, ranges.minDrive)),
      maxDrive: orNone(stepsOf(names.maxDrive, ranges.maxDrive)),
      releaseBand: orNone(stepsOf(names.releaseBand, ranges.releaseBand)),
      rampUpMs: orNone(stepsOf(names.rampUpMs, ranges.rampUpMs)),
      brakeFull: orNone(stepsOf(names.brakeFull, ranges.brakeFull)),
      drag: orNone(
        z.strictObject(
          {
            strength: stepsOf(names.dragStrength, ranges.dragStrength),
            zone: stepsOf(names.dragZone, ranges.dragZone),
            closingOnly: z.boolean({ error: words.closingOnly }),
          },
          { error: words.drag },
        ),
      ),
      pwmHz: orNone(z.strictObject({ list: frequencyList }, { error: words.list })),
      decay: word(names.decay, ['slow', 'fast']),
      rectify: word(names.rectify, ['async', 'sync']),
      curve,
    },
    { error: words.object },
  )
  .superRefine((sheet, ctx) => {
    const { minDrive, maxDrive, decay, rectify } = sheet;
    const lowest = minDrive?.min ?? 0;
    if (maxDrive && highest(maxDrive) < lowest + leastDriveSpan) {
      ctx.addIssue({ code: 'custom', path: ['maxDrive'], message: words.span(leastDriveSpan / 10) });
    }
    if (!decay.includes('slow') && !rectify.includes('async')) {
      ctx.addIssue({ code: 'custom', path: ['rectify'], message: words.syncWithFast });
    }
  });

const highest = ({ min, max, step }: { min: number; max: number; step: number }) =>
  min + step * Math.floor((max - min) / step);

export type SheetRead =
  | { readonly ok: true; readonly sheet: UnitSheet }
  /** `path`: the setting, as `drag.strength`; empty for the whole. */
  | { readonly ok: false; readonly problem: { readonly path: string; readonly sentence: string } };

/** Reads a sheet out of what somebody's file or a row of the database holds. */
export function readSheet(value: unknown): SheetRead {
  const read = sheetSchema.safeParse(value);
  if (read.success) return { ok: true, sheet: read.data };
  const [issue] = read.error.issues;
  const unknown = issue?.code === 'unrecognized_keys' ? issue.keys[0] : undefined;
  return {
    ok: false,
    problem: {
      path: issue?.path.join('.') ?? '',
      sentence: unknown === undefined ? (issue?.message ?? words.object) : words.unknownKey(unknown),
    },
  };
}

const all = ([min, max]: Range) => ({ min, max, step: 1 });

/** A unit that can do whatever a profile can say. */
export const unlimitedSheet: UnitSheet = {
  minDrive: all(ranges.minDrive),
  maxDrive: all(ranges.maxDrive),
  releaseBand: all(ranges.releaseBand),
  rampUpMs: all(ranges.rampUpMs),
  brakeFull: all(ranges.brakeFull),
  drag: { strength: all(ranges.dragStrength), zone: all(ranges.dragZone), closingOnly: true },
  pwmHz: { list: Array.from({ length: ranges.pwmHz[1] - ranges.pwmHz[0] + 1 }, (_, i) => ranges.pwmHz[0] + i) },
  decay: ['slow', 'fast'],
  rectify: ['async', 'sync'],
  curve: { kind: 'any' },
};
