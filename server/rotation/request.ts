import { z } from 'zod';
import { type DrawRequest, drawLimits, drawRequest } from './rotation.ts';

/** Why a request cannot be drawn; `key` is the key of the request that is meant. */
export type DrawProblem =
  | { readonly code: 'not an object' }
  | { readonly code: 'unknown key'; readonly key: string }
  | { readonly code: 'missing' | 'wrong value' | 'not available'; readonly key: DrawKey }
  | { readonly code: 'name twice'; readonly key: 'drivers'; readonly name: string }
  | { readonly code: 'unknown driver'; readonly key: 'exempt'; readonly name: string }
  | { readonly code: 'not a lane'; readonly key: 'lanesOut' | 'laneOrder'; readonly lane: number }
  | { readonly code: 'incomplete'; readonly key: 'laneOrder' }
  | { readonly code: 'no lane left'; readonly key: 'lanesOut' };

const whole = (least: number, most: number) => z.int().min(least).max(most);
// Names go to terminals and pages: printable, no control characters.
const name = z
  .string()
  .trim()
  .min(1)
  .max(40)
  .regex(/^\P{C}+$/u);
const lane = whole(1, drawLimits.lanes);

const shape = {
  drivers: z.union([whole(1, drawLimits.drivers), z.array(name).min(1).max(drawLimits.drivers)]),
  lanes: lane,
  runsPerLane: whole(1, drawLimits.runsPerLane).default(1),
  heats: z.unknown().optional(),
  carsPerHeat: lane.nullable().default(null),
  marshals: whole(0, drawLimits.marshals).default(0),
  preset: z.enum(['opponents', 'rest', 'balanced', 'step', 'equals']).default('step'),
  seed: whole(0, 2 ** 32 - 1).default(1),
  budgetMs: whole(0, drawLimits.budgetMs).default(1000),
  format: z.enum(['lanes', 'pairs']).default('lanes'),
  groups: whole(1, drawLimits.drivers).default(1),
  exempt: z.array(z.union([name, whole(1, drawLimits.drivers)])).default([]),
  done: z.unknown().optional(),
  published: z.unknown().optional(),
  leave: z.unknown().optional(),
  join: z.unknown().optional(),
  lanesOut: z.array(lane).default([]),
  laneOrder: z.array(lane).nullable().default(null),
};

/** The keys that a request may have. */
export type DrawKey = keyof typeof shape;

/** All keys, in the order in which they are explained to people. */
export const drawKeys = Object.keys(shape) as DrawKey[];

const schema = z.strictObject(shape);
type Parsed = z.infer<typeof schema>;

/**
 * Reads a request as it comes from a file, a form or a command line: `drivers` as a list of names or a count (drivers
 * are then numbers from 1), everything but `drivers` and `lanes` optional.
 *
 * Keys that ask for something the step rotation cannot do (repair, pairs, groups, a given number of heats, other presets)
 * are refused, never ignored; their empty values (null, [], 1 group) ask for nothing and pass.
 *
 * @returns the completed request, or the first problem
 */
export function parseDrawRequest(
  value: unknown,
): { readonly ok: true; readonly request: DrawRequest } | { readonly ok: false; readonly problem: DrawProblem } {
  const parsed = schema.safeParse(value);
  if (!parsed.success) {
    return { ok: false, problem: problemOf(parsed.error.issues[0] as z.core.$ZodIssue, value) };
  }
  const problem = unavailable(parsed.data) ?? contradiction(parsed.data);
  if (problem) return { ok: false, problem };
  const { drivers, lanes, runsPerLane, carsPerHeat, marshals, preset, seed, budgetMs } = parsed.data;
  const { exempt, lanesOut, laneOrder } = parsed.data;
  return {
    ok: true,
    request: drawRequest({
      drivers: namesOf(drivers),
      lanes,
      runsPerLane,
      carsPerHeat,
      marshals,
      exempt,
      preset,
      seed,
      budgetMs,
      lanesOut: [...new Set(lanesOut)],
      ...(laneOrder && { laneOrder }),
    }),
  };
}

function namesOf(drivers: Parsed['drivers']): (string | number)[] {
  return typeof drivers === 'number' ? Array.from({ length: drivers }, (_, i) => i + 1) : drivers;
}

function problemOf(issue: z.core.$ZodIssue, value: unknown): DrawProblem {
  if (issue.code === 'unrecognized_keys') return { code: 'unknown key', key: issue.keys[0] ?? '' };
  const key = issue.path[0] as DrawKey | undefined;
  if (key === undefined) return { code: 'not an object' };
  return { code: (value as Record<string, unknown>)[key] === undefined ? 'missing' : 'wrong value', key };
}

function unavailable(data: Parsed): DrawProblem | null {
  const asksNothing = (asked: unknown) => asked == null || (Array.isArray(asked) && asked.length === 0);
  const keys: DrawKey[] = (['heats', 'done', 'published', 'leave', 'join'] as const).filter(
    (key) => !asksNothing(data[key]),
  );
  if (data.preset !== 'step') keys.push('preset');
  if (data.format !== 'lanes') keys.push('format');
  if (data.groups !== 1) keys.push('groups');
  return keys[0] === undefined ? null : { code: 'not available', key: keys[0] };
}

function contradiction({ drivers, exempt, lanes, lanesOut, laneOrder }: Parsed): DrawProblem | null {
  const names = namesOf(drivers);
  const twice = names.find((one, i) => names.indexOf(one) !== i);
  if (twice !== undefined) return { code: 'name twice', key: 'drivers', name: String(twice) };
  const stranger = exempt.find((one) => !names.includes(one));
  if (stranger !== undefined) return { code: 'unknown driver', key: 'exempt', name: String(stranger) };
  for (const [key, list] of [['lanesOut', lanesOut] as const, ['laneOrder', laneOrder ?? []] as const]) {
    const outside = list.find((one) => one > lanes);
    if (outside !== undefined) return { code: 'not a lane', key, lane: outside };
  }
  const inUse = Array.from({ length: lanes }, (_, i) => i + 1).filter((one) => !lanesOut.includes(one));
  if (inUse.length === 0) return { code: 'no lane left', key: 'lanesOut' };
  if (laneOrder && (new Set(laneOrder).size < laneOrder.length || inUse.some((one) => !laneOrder.includes(one)))) {
    return { code: 'incomplete', key: 'laneOrder' };
  }
  return null;
}
