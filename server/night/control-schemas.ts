import { z } from 'zod';
import { control as t } from '../../views/texts/en/control.ts';
import { readIdField } from '../../views/urls.ts';
import { newId } from '../accounts/tokens.ts';
import type { CrossingKey, Decision } from '../heats/facts.ts';
import { eventKinds } from '../heats/facts.ts';

const number = (min: number, max: number) =>
  z
    .string({ error: t.notReadable })
    .regex(/^-?\d{1,15}$/, t.notReadable)
    .transform(Number)
    .refine((n) => n >= min && n <= max, t.notReadable);

/** Browsers without scripts send the id that stood in the page; a form without one is a command of its own. */
const commandId = z
  .string()
  .regex(/^[\w-]{1,64}$/, t.notReadable)
  .optional()
  .transform((id) => id ?? newId());

const why = z
  .string()
  .default('')
  .transform((words) =>
    words
      .normalize('NFC')
      .replace(/[\p{Cc}\p{Cf}\p{Cs}\s]+/gu, ' ')
      .trim()
      .slice(0, 200),
  );

const lane = number(1, 99);

export const pressSchema = z.object({
  command_id: commandId,
  kind: z.enum(eventKinds, { error: t.notReadable }),
  seen_n: number(0, 1_000_000),
  /** Seconds since a track call was called. */
  called_ago: number(0, 10).optional(),
});

export const heatSchema = z.object({ command_id: commandId, why });

/** A crossing in one field: device, boot and number, as JSON. */
const crossing = z.string({ error: t.notReadable }).transform((text, ctx): CrossingKey => {
  const parsed = crossingKey.safeParse(parseJson(text));
  if (parsed.success) return parsed.data;
  ctx.addIssue({ code: 'custom', message: t.notReadable });
  return z.NEVER;
});
const crossingKey = z.strictObject({ device: z.string(), boot: z.string(), seq: z.number().int().min(0) });

const entry = z.string({ error: t.notReadable }).transform((text, ctx): string => {
  const id = readIdField(text);
  if (id !== null && id !== '') return id;
  ctx.addIssue({ code: 'custom', message: t.notReadable });
  return z.NEVER;
});

/** "1.5" laps are 150 hundredths, "2,5" seconds 2500 ms. */
const decimal = (perUnit: number, min: number) =>
  z.string({ error: t.notReadable }).transform((typed, ctx): number => {
    const text = typed.trim().replace(',', '.');
    const value = /^[+-]?\d{1,7}(\.\d{1,3})?$/.test(text) ? Math.round(Number(text) * perUnit) : Number.NaN;
    if (value >= min) return value === 0 ? 0 : value;
    ctx.addIssue({ code: 'custom', message: t.notReadable });
    return z.NEVER;
  });

/** What a ruling form may say. `time` and `laps` races score in different units. */
export function ruleSchema(format: 'time' | 'laps') {
  const perUnit = format === 'time' ? 100 : 1000;
  const signed = decimal(perUnit, Number.NEGATIVE_INFINITY);
  const common = { command_id: commandId, why };
  return z.discriminatedUnion(
    'kind',
    [
      z.object({ kind: z.literal('judge'), ...common, crossing, value: number(0, 9) }),
      z.object({ kind: z.literal('move'), ...common, crossing, value: lane }),
      z.object({ kind: z.literal('adjust'), ...common, lane: lane.optional(), entry: entry.optional(), value: signed }),
      z.object({ kind: z.literal('total'), ...common, lane, value: decimal(perUnit, 0) }),
      z.object({ kind: z.literal('part'), ...common, lane, value: number(0, 99) }),
      z.object({ kind: z.literal('retire'), ...common, lane }),
      z.object({ kind: z.literal('exclude'), ...common, entry, value: z.enum(['heat', 'race']) }),
      z.object({ kind: z.literal('undo'), ...common, n: number(1, 1_000_000) }),
    ],
    { error: t.notReadable },
  );
}

/** The decision that a ruling form stands for; null when it names neither lane nor entry. */
export function decisionOf(form: z.output<ReturnType<typeof ruleSchema>>): Decision | null {
  switch (form.kind) {
    case 'judge':
    case 'move':
      return { kind: form.kind, target: form.crossing, value: form.value };
    case 'adjust':
      if (form.lane !== undefined) return { kind: 'adjust', target: { lane: form.lane }, value: form.value };
      return form.entry === undefined ? null : { kind: 'adjust', target: { entry: form.entry }, value: form.value };
    case 'total':
    case 'part':
      return { kind: form.kind, target: { lane: form.lane }, value: form.value };
    case 'retire':
      return { kind: 'retire', target: { lane: form.lane } };
    case 'exclude':
      return { kind: 'exclude', target: { entry: form.entry }, value: form.value };
    case 'undo':
      return { kind: 'undo', target: { n: form.n } };
  }
}

/** Part laps of all lanes in one form: `part_3` is lane 3's, in hundredths; an empty field says nothing. */
export function readParts(body: unknown): { commandId: string; parts: { lane: number; part: number }[] } | null {
  const fields = z.record(z.string(), z.unknown()).safeParse(body);
  const command = z.object({ command_id: commandId }).safeParse(body);
  if (!fields.success || !command.success) return null;
  const parts: { lane: number; part: number }[] = [];
  for (const [name, value] of Object.entries(fields.data)) {
    const laneOf = /^part_(\d{1,2})$/.exec(name);
    if (!laneOf || value === '') continue;
    const part = number(0, 99).safeParse(typeof value === 'string' ? value.trim() : value);
    if (!part.success) return null;
    parts.push({ lane: Number(laneOf[1]), part: part.data });
  }
  return { commandId: command.data.command_id, parts };
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
