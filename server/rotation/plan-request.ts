import type { DrawPreset } from '../clubs/draw-preset.ts';
import { groupRequests, groupsOf, racing } from './groups.ts';
import type { HeatStage } from './heat-stage.ts';
import { byLot } from './lot.ts';
import { drawPairs } from './pairs.ts';
import { runsOf } from './plan-counts.ts';
import { isRepair, repairTask } from './repair.ts';
import { type DrawRequest, type Driver, drawRequest, fewestHeats, type Seat } from './rotation.ts';

/** A heat as far as a draw must know. */
export interface PlanHeat {
  readonly id: string;
  /** Number of the heat in its race. */
  readonly ordinal: number;
  /** One seat a lane of the track (index lane - 1). */
  readonly seats: readonly Seat[];
  readonly marshals: readonly Driver[];
  readonly stage: HeatStage;
  /** The void heat this one runs again. */
  readonly reruns: string | null;
}

/** A race as far as a draw must know. */
export interface DrawPlan {
  /** Lane numbers of the track. */
  readonly lanes: readonly number[];
  /** In the order of sign-up. */
  readonly entries: readonly {
    readonly id: string;
    readonly withdrawn: boolean;
    /** Whether the driver may stand marshal. */
    readonly marshals: boolean;
    readonly groupNo: number | null;
  }[];
  /** In the order in which they are run. */
  readonly heats: readonly PlanHeat[];
  /** Entries, fastest first; null where nobody's pace is known. */
  readonly pace: readonly string[] | null;
  /** Who came late to an earlier draw and got fewer runs on every lane than the others. */
  readonly fewerRuns: ReadonlyMap<string, number>;
}

/** What a director asks a draw for. */
export interface DrawChoices {
  readonly aim: DrawPreset;
  /** `step`: the one-step rotation, which leaves nothing to chance. */
  readonly method: 'search' | 'step';
  readonly runsPerLane: number;
  /** Most heats that there is time for; null: as many as the runs need. */
  readonly mostHeats: number | null;
  /** One heat more than needed: room for fairer heats. */
  readonly more: boolean;
  readonly carsPerHeat: number | null;
  /** Marshals wanted in each heat. */
  readonly marshals: number;
  /** Also those who are otherwise left out. */
  readonly everyoneMarshals: boolean;
  readonly lanesOut: readonly number[];
  /** Lanes in the order of stepping; lanes that are not named follow at the end. */
  readonly laneOrder: readonly number[];
  readonly order: 'lot' | 'signUp';
  readonly format: 'lanes' | 'pairs';
  readonly groups: number;
  readonly split: 'pace' | 'lot';
  /** Length of the search. */
  readonly budgetMs: number;
  /** Runs on every lane of those who are not on the plan yet; null: as many as everybody. */
  readonly lateRuns: number | null;
  readonly seed: number;
}

/** A draw of what is left of a plan. */
export interface PlanRequest {
  readonly request: DrawRequest;
  /** Heats that stay: armed, run or void ones, and those that run a void one again. */
  readonly kept: readonly PlanHeat[];
  /** Heats that come off the plan. */
  readonly goes: readonly PlanHeat[];
  /** Who is here and on no heat yet, while there are heats. */
  readonly late: readonly string[];
}

/** Heats that stay on the plan when it is drawn again. */
export const staysOnPlan = (heat: Pick<PlanHeat, 'stage' | 'reruns'>) =>
  heat.stage !== 'planned' || heat.reruns !== null;

/**
 * Builds the request of a draw from a race's plan: a first draw while no heat stays, else a repair. Kept heats that
 * count are done; the heats that would come off are what people were told, so they are `published`.
 *
 * @returns null when nobody is here
 */
export function planRequest(plan: DrawPlan, choices: DrawChoices): PlanRequest | null {
  const here = plan.entries.filter((entry) => !entry.withdrawn).map((entry) => entry.id);
  if (here.length === 0) return null;
  const kept = plan.heats.filter(staysOnPlan);
  const goes = plan.heats.filter((heat) => !staysOnPlan(heat));
  const done = kept.filter((heat) => heat.stage !== 'void');
  const onPlan = new Set<Driver>([...done, ...goes].flatMap((heat) => heat.seats.filter((seat) => seat !== null)));
  const late = plan.heats.length === 0 ? [] : here.filter((id) => !onPlan.has(id));
  const draw = done.length === 0 ? firstDraw(plan, here, late, choices) : repair(plan, here, late, done, goes, choices);
  return { request: withHeats(draw, choices), kept, goes, late };
}

function common(plan: DrawPlan, choices: DrawChoices) {
  const top = Math.max(...plan.lanes);
  const inUse = plan.lanes.filter((lane) => !choices.lanesOut.includes(lane));
  const order = [...choices.laneOrder.filter((lane) => inUse.includes(lane))];
  return {
    lanes: top,
    lanesOut: Array.from({ length: top }, (_, l) => l + 1).filter((lane) => !inUse.includes(lane)),
    laneOrder: [...order, ...inUse.filter((lane) => !order.includes(lane))],
    runsPerLane: choices.runsPerLane,
    carsPerHeat: choices.carsPerHeat,
    marshals: choices.marshals,
    format: choices.format,
    preset: choices.method === 'step' ? ('step' as const) : choices.aim,
    seed: choices.seed,
    budgetMs: choices.budgetMs,
  };
}

const exemptOf = (plan: DrawPlan, drivers: readonly Driver[], choices: DrawChoices) => {
  const marshals = new Map(plan.entries.map((entry) => [entry.id as Driver, entry.marshals]));
  return choices.everyoneMarshals ? [] : drivers.filter((driver) => marshals.get(driver) === false);
};

function firstDraw(plan: DrawPlan, here: readonly string[], late: readonly string[], choices: DrawChoices) {
  const drivers = choices.order === 'lot' ? byLot(here, choices.seed) : [...here];
  const fewer = late.length > 0 && late.length < here.length ? lateJoins(plan, late, choices) : [];
  const joining = new Set(fewer.map(({ driver }) => driver));
  const base = common(plan, choices);
  return drawRequest({
    ...base,
    drivers: drivers.filter((driver) => !joining.has(driver)),
    join: fewer,
    exempt: exemptOf(plan, here, choices),
    groups: newGroups(plan, drivers, choices),
  });
}

function repair(
  plan: DrawPlan,
  here: readonly string[],
  late: readonly string[],
  done: readonly PlanHeat[],
  goes: readonly PlanHeat[],
  choices: DrawChoices,
) {
  const ran = new Set<Seat>(done.flatMap((heat) => heat.seats));
  const joins = lateJoins(plan, late, choices);
  const joining = new Set<Driver>(joins.map(({ driver }) => driver));
  // Pairs have their order from a table: only the next two are already on their way to the track.
  const announced = choices.format === 'pairs' ? goes.slice(0, 1) : goes;
  const known = (id: string) => ran.has(id) || announced.some((heat) => heat.seats.includes(id));
  const gone = plan.entries.filter((entry) => entry.withdrawn && known(entry.id)).map((entry) => entry.id);
  return drawRequest({
    ...common(plan, choices),
    drivers: [...here.filter((id) => !joining.has(id)), ...gone],
    leave: gone,
    join: joins,
    exempt: exemptOf(plan, here, choices),
    duties: dutiesOf(here, late, done),
    done: done.map((heat) => heat.seats),
    published: announced.map((heat) => heat.seats),
    groups: groupsSoFar(plan, [...here, ...gone]),
  });
}

/** Duties done; who comes now counts like the others on average, and need not catch up with them. */
function dutiesOf(here: readonly string[], late: readonly string[], done: readonly PlanHeat[]): DrawRequest['duties'] {
  const count = (id: string) => done.filter((heat) => heat.marshals.includes(id)).length;
  const early = here.filter((id) => !late.includes(id));
  const average = Math.floor(early.reduce((sum, id) => sum + count(id), 0) / Math.max(1, early.length));
  return here.map((driver) => ({ driver, duties: late.includes(driver) ? average : count(driver) }));
}

/** Those who get fewer runs on every lane than the others: who comes now, and who came to an earlier draw. */
function lateJoins(plan: DrawPlan, late: readonly string[], choices: DrawChoices): DrawRequest['join'] {
  return plan.entries.flatMap(({ id, withdrawn }) => {
    if (withdrawn) return [];
    const runsPerLane = late.includes(id) ? choices.lateRuns : (plan.fewerRuns.get(id) ?? null);
    return runsPerLane === null || runsPerLane >= choices.runsPerLane ? [] : [{ driver: id, runsPerLane }];
  });
}

/** Groups of a first draw: a number to split by lot, or lists by pace, slowest group first. */
function newGroups(plan: DrawPlan, drivers: readonly string[], choices: DrawChoices): DrawRequest['groups'] {
  const { groups } = choices;
  if (groups === 1 || choices.split === 'lot' || plan.pace === null) return groups;
  const fastestFirst = plan.pace.filter((id) => drivers.includes(id));
  const order = [...fastestFirst, ...drivers.filter((id) => !fastestFirst.includes(id))];
  const cut = (g: number) => Math.floor((g * order.length) / groups);
  return Array.from({ length: groups }, (_, g) => order.slice(cut(g), cut(g + 1))).reverse();
}

/** The groups that a race was split into; who has none yet is left to the draw. */
function groupsSoFar(plan: DrawPlan, drivers: readonly string[]): DrawRequest['groups'] {
  const groupOf = new Map(plan.entries.map((entry) => [entry.id, entry.groupNo]));
  const numbers = [...new Set(drivers.map((id) => groupOf.get(id)))].filter((n) => typeof n === 'number');
  if (numbers.length < 2) return 1;
  return numbers.sort((a, b) => a - b).map((n) => drivers.filter((id) => groupOf.get(id) === n));
}

/** Asks for a number of heats where the time or the wish for one heat more says so. */
function withHeats(request: DrawRequest, choices: DrawChoices): DrawRequest {
  const needed = heatsNeeded(request);
  const wanted = choices.more ? needed + 1 : needed;
  const heats = choices.mostHeats === null ? wanted : Math.min(wanted, choices.mostHeats);
  if (heats === needed) return request;
  // Pairs either meet on both lanes or once: half the heats.
  const half = request.format === 'pairs' && request.done.length === 0 ? needed / 2 : null;
  // A number of heats in a first draw shares them out evenly, whatever the runs on a lane.
  const runsPerLane = request.done.length === 0 ? 1 : request.runsPerLane;
  return { ...request, runsPerLane, heats: half !== null && heats > half ? half : heats };
}

/** The fewest heats in which a request can give everybody all their runs, whatever time there is. */
export function heatsNeeded(request: DrawRequest): number {
  const open = { ...request, heats: null };
  if (open.format === 'pairs') return drawPairs(open).length;
  return groupRequests(open, groupsOf(open)).reduce((sum, group) => {
    if (racing(group).length === 0) return sum;
    if (!isRepair(group)) return sum + fewestHeats(group);
    const found = repairTask(group);
    return sum + (found.ok ? found.repair.fewestHeats : 0);
  }, 0);
}

/** The most heats that any of these drivers is in. */
export function mostRuns(heats: readonly (readonly Seat[])[], drivers: readonly Driver[]): number {
  const runs = runsOf(heats);
  return Math.max(0, ...drivers.map((driver) => runs.get(driver) ?? 0));
}

/**
 * How many heats fit into a time: each takes its length and the changeover before the next.
 *
 * @param minutes the time there is
 * @param heatMs longest length of a heat
 * @param changeoverMs time between two heats
 */
export function heatsInTime(minutes: number, heatMs: number, changeoverMs: number): number {
  return Math.floor((minutes * 60_000) / (heatMs + changeoverMs));
}
