import { type DrawPreset, drawPresets } from '../clubs/draw-preset.ts';
import type { FormState } from '../shared/form.ts';
import type { DrawDesk } from './draw-desk.ts';
import { usualOptions } from './plan-counts.ts';
import { staysOnPlan } from './plan-request.ts';
import { type DrawRequest, defaultLaneOrder } from './rotation.ts';

/** Typed fields of a form. */
export type Typed = Readonly<Record<string, string | readonly string[]>>;

/** What the form of a draw begins with. */
export interface UsualDraw {
  /** What a field stands for that was left out. */
  readonly usual: Readonly<Record<string, string>>;
  /** What was chosen for the last draw and is chosen again unless somebody changes it. */
  readonly again: Typed;
}

/**
 * @param lanes of the track
 * @param heats lanes of each heat that counts or will be run
 * @param last request of the last draw that was taken; null when there was none
 * @param given what the club's draws weigh first, marshals that the race wants, whether anybody's pace is known, and
 *   how many heats are planned and not armed
 */
export function usualDraw(
  lanes: readonly number[],
  heats: Parameters<typeof usualOptions>[1],
  last: DrawRequest | null,
  { preset, marshals, pace, planned }: { preset: DrawPreset; marshals: number; pace: boolean; planned: number },
): UsualDraw {
  const order = defaultLaneOrder(Math.max(...lanes)).filter((lane) => lanes.includes(lane));
  const before = (last?.laneOrder ?? []).filter((lane) => lanes.includes(lane));
  const groups = last === null ? 1 : typeof last.groups === 'number' ? last.groups : last.groups.length;
  const shown = usualOptions(lanes, heats);
  const lanesOut =
    last === null
      ? lanes.filter((lane) => !shown.laneOrder.includes(lane))
      : lanes.filter((l) => last.lanesOut.includes(l));
  return {
    usual: {
      aim: String(drawPresets.indexOf(preset)),
      method: last?.preset === 'step' ? 'step' : 'search',
      runsPerLane: String(last?.runsPerLane ?? shown.runsPerLane),
      length: 'runs',
      marshals: String(marshals),
      laneOrder: [...before, ...order.filter((lane) => !before.includes(lane))].join(' '),
      order: 'lot',
      groups: String(groups),
      split: pace ? 'pace' : 'lot',
      search: '1',
    },
    again: {
      ...(last?.carsPerHeat && { carsPerHeat: String(last.carsPerHeat) }),
      ...(last?.format === 'pairs' && { pairs: 'on' }),
      // A night that is cut to a number of heats stays cut.
      ...(last !== null && last.heats !== null && planned > 0 && { length: 'heats', mostHeats: String(planned) }),
      ...(lanesOut.length > 0 && { lanesOut: lanesOut.map(String) }),
    },
  };
}

/** The fields as the query of an address, empty ones left out; `changes` take the place of fields, null takes one away. */
export function draftQuery(
  typed: Typed,
  changes: Readonly<Record<string, string | readonly string[] | null>> = {},
): string {
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries({ ...typed, ...changes })) {
    for (const one of [value ?? []].flat()) if (one !== '') query.append(name, one);
  }
  return query.toString();
}

/** The longest that a heat of the race can last, in milliseconds; null where it has no end. */
export const longestHeatMs = (race: { format: string; durationMs: number | null; limitMs: number | null }) =>
  race.format === 'laps' ? race.limitMs : race.durationMs;

/** What the form of a draw shows. */
export interface DrawFormView {
  readonly form: FormState;
  /** Whether there are heats already, and whether some of them stay. */
  readonly again: boolean;
  readonly stays: boolean;
  /** How many drivers are here. */
  readonly here: number;
  /** Nicknames of those who are here and on no heat yet, while there are heats. */
  readonly late: readonly string[];
  /** Nicknames of those who are here and never stand marshal. */
  readonly noMarshals: readonly string[];
  /** Lane numbers of the track. */
  readonly lanes: readonly number[];
  /** Longest length of a heat in milliseconds; null where nobody can say. */
  readonly heatMs: number | null;
  readonly paceKnown: boolean;
  readonly searchS: readonly number[];
}

/** The form of a draw of an opened race: as it came back, or as a fresh one begins. */
export function drawFormView(
  { plan, drawPlan, form: { heatMs }, usual }: Pick<DrawDesk, 'plan' | 'drawPlan' | 'form' | 'usual'>,
  form: FormState | null = null,
): DrawFormView {
  const here = plan.entries.filter((entry) => entry.withdrawnAt === null);
  const marshals = new Map(drawPlan.entries.map((entry) => [entry.id, entry.marshals]));
  const onHeats = new Set(drawPlan.heats.filter((heat) => heat.stage !== 'void').flatMap((heat) => heat.seats));
  const again = drawPlan.heats.length > 0;
  return {
    form: form ?? { typed: { ...usual.usual, ...usual.again }, errors: {} },
    again,
    stays: drawPlan.heats.some(staysOnPlan),
    here: here.length,
    late: again ? here.filter((entry) => !onHeats.has(entry.id)).map((entry) => entry.nickname) : [],
    noMarshals: here.filter((entry) => marshals.get(entry.id) === false).map((entry) => entry.nickname),
    lanes: drawPlan.lanes,
    heatMs,
    paceKnown: drawPlan.pace !== null,
    searchS: searchTimesS,
  };
}

/** Lengths of a search that the form offers, in seconds. */
export const searchTimesS = [1, 10, 60] as const;
