import { z } from 'zod';
import { usualGroups } from './groups.ts';
import { type DrawProblem, problemOf } from './request-check.ts';
import { type DrawRequest, type Driver, defaultLaneOrder, drawLimits, drawRequest, type Seat } from './rotation.ts';

export type { DrawProblem } from './request-check.ts';

const whole = (least: number, most: number) => z.int().min(least).max(most);
// Names go to terminals and pages: printable, no control characters.
const name = z
  .string()
  .trim()
  .min(1)
  .max(40)
  .regex(/^\P{C}+$/u);
// Wider than `drawLimits`, so that a request beyond them is told what is possible instead.
const manyDrivers = 100_000;
const manyLanes = 1000;
const driver = z.union([name, whole(1, manyDrivers)]);
const lane = whole(1, manyLanes);
const runs = whole(1, drawLimits.runsPerLane);
const heatList = z.array(z.array(driver.nullable()).max(manyLanes)).max(10_000);

const shape = {
  drivers: z.union([whole(0, manyDrivers), z.array(driver).max(manyDrivers)]),
  lanes: lane,
  runsPerLane: runs.optional(),
  heats: whole(0, manyDrivers).optional(),
  carsPerHeat: whole(0, manyLanes).optional(),
  marshals: whole(0, drawLimits.marshals).optional(),
  preset: z.enum(['opponents', 'rest', 'balanced', 'step', 'equals']).optional(),
  seed: whole(0, 2 ** 32 - 1).optional(),
  budgetMs: whole(0, drawLimits.budgetMs).optional(),
  steps: whole(0, 2 ** 32 - 1).optional(),
  format: z.enum(['lanes', 'pairs']).optional(),
  groups: z.union([whole(1, manyDrivers), z.array(z.array(driver))]).optional(),
  exempt: z.array(driver).optional(),
  done: heatList.optional(),
  published: heatList.optional(),
  leave: z.array(driver).optional(),
  join: z.array(z.union([driver, z.strictObject({ driver, runsPerLane: runs.nullish() })])).optional(),
  duties: z.array(z.strictObject({ driver, duties: whole(0, manyDrivers) })).optional(),
  lanesOut: z.array(lane).optional(),
  laneOrder: z.array(lane).optional(),
};

/** The keys that a request may have. */
export type DrawKey = keyof typeof shape;

/** All keys, in the order in which they are explained to people. */
export const drawKeys = Object.keys(shape) as DrawKey[];

/** Why a value is no request at all; what a well-formed request asks wrongly is a {@link DrawProblem}. */
export type ShapeProblem =
  | { readonly code: 'not an object' }
  | { readonly code: 'unknown key'; readonly key: string; readonly like: DrawKey | null }
  | { readonly code: 'missing'; readonly key: DrawKey }
  /** `nearest`: the closest number that is possible, where a number is out of range. */
  | { readonly code: 'wrong value'; readonly key: DrawKey; readonly nearest: number | null };

const schema = z.strictObject(shape);
type Given = z.infer<typeof schema>;

/**
 * Reads a request as it comes from a file, a form or a command line: `drivers` as a list or a count (drivers are then
 * numbers from 1), everything but `drivers` and `lanes` optional. Empty values (null, []) ask for nothing. `join` may
 * name drivers alone, who then get the runs of everybody else. A driver may be named by text or number alike.
 *
 * @returns the completed request, by default for the preset `opponents`, or the first problem
 */
export function parseDrawRequest(
  value: unknown,
):
  | { readonly ok: true; readonly request: DrawRequest }
  | { readonly ok: false; readonly problem: ShapeProblem | DrawProblem } {
  const parsed = schema.safeParse(withoutEmpty(value));
  if (!parsed.success) {
    return { ok: false, problem: shapeProblem(parsed.error.issues[0] as z.core.$ZodIssue, value) };
  }
  const request = completed(parsed.data);
  const problem = problemOf(request, parsed.data.runsPerLane ?? null);
  return problem ? { ok: false, problem } : { ok: true, request };
}

/** Leaves out optional keys that ask for nothing. */
function withoutEmpty(value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  const asks = ([key, asked]: [string, unknown]) =>
    key === 'drivers' || key === 'lanes' || !(asked == null || (Array.isArray(asked) && asked.length === 0));
  return Object.fromEntries(Object.entries(value).filter(asks));
}

function shapeProblem(issue: z.core.$ZodIssue, value: unknown): ShapeProblem {
  const key = issue.path[0] as DrawKey | undefined;
  if (key !== undefined) {
    const missing = (value as Record<string, unknown>)[key] == null;
    return missing ? { code: 'missing', key } : { code: 'wrong value', key, nearest: nearestNumber(issue) };
  }
  if (issue.code !== 'unrecognized_keys') return { code: 'not an object' };
  const [unknown = ''] = issue.keys;
  return { code: 'unknown key', key: unknown, like: keyLike(unknown) };
}

function nearestNumber(issue: z.core.$ZodIssue): number | null {
  if (issue.path.length !== 1) return null;
  if (issue.code === 'too_big') return Number(issue.maximum);
  return issue.code === 'too_small' ? Number(issue.minimum) : null;
}

/** The key that is probably meant by a word that is none: written otherwise, cut short or too long; null: none. */
export function keyLike(word: string): DrawKey | null {
  const plain = (text: string) => text.replace(/[^a-z]/gi, '').toLowerCase();
  const meant = plain(word);
  if (meant.length < 3) return null;
  return drawKeys.find((key) => plain(key).startsWith(meant) || meant.startsWith(plain(key))) ?? null;
}

function completed(given: Given): DrawRequest {
  const counted = typeof given.drivers === 'number';
  const asDriver = (one: Driver): Driver => (counted && typeof one === 'string' && /^\d+$/.test(one) ? +one : one);
  const drivers =
    typeof given.drivers === 'number' ? Array.from({ length: given.drivers }, (_, i) => i + 1) : given.drivers;
  const join = (given.join ?? []).map((one) => {
    const late = typeof one === 'object' ? one : { driver: one };
    return { driver: asDriver(late.driver), runsPerLane: late.runsPerLane ?? given.runsPerLane ?? 1 };
  });

  // Everybody is called as they are first listed.
  const known = new Map<string, Driver>();
  for (const one of [...drivers, ...join.map((late) => late.driver)]) {
    if (!known.has(String(one))) known.set(String(one), one);
  }
  const same = (one: Driver): Driver => known.get(String(asDriver(one))) ?? one;
  const seats = (heats: Given['done']): Seat[][] =>
    (heats ?? []).map((row) => row.map((seat) => (seat === null ? null : same(seat))));

  const { drivers: _drivers, groups, laneOrder, lanes, ...others } = given;
  const lanesOut = [...new Set(given.lanesOut)];
  const request = drawRequest({
    ...defined(others),
    drivers,
    lanes,
    lanesOut,
    laneOrder: laneOrder ?? defaultLaneOrder(lanes),
    preset: given.preset ?? 'opponents',
    exempt: (given.exempt ?? []).map(same),
    leave: [...new Set((given.leave ?? []).map(same))],
    join,
    duties: (given.duties ?? []).map((one) => ({ ...one, driver: same(one.driver) })),
    done: seats(given.done),
    published: seats(given.published),
  });
  const asked = typeof groups === 'object' ? groups.map((group) => group.map(same)) : groups;
  return { ...request, groups: asked ?? usualGroups(request) };
}

type Plain = Pick<
  Given,
  'runsPerLane' | 'heats' | 'carsPerHeat' | 'marshals' | 'seed' | 'budgetMs' | 'steps' | 'format'
>;

/** The keys that are taken as they are, without those that are not there. */
function defined(given: Plain) {
  const { runsPerLane, heats, carsPerHeat, marshals, seed, budgetMs, steps, format } = given;
  return {
    ...(runsPerLane !== undefined && { runsPerLane }),
    ...(heats !== undefined && { heats }),
    ...(carsPerHeat !== undefined && { carsPerHeat }),
    ...(marshals !== undefined && { marshals }),
    ...(seed !== undefined && { seed }),
    ...(budgetMs !== undefined && { budgetMs }),
    ...(steps !== undefined && { steps }),
    ...(format !== undefined && { format }),
  };
}
