import { z } from 'zod';
import { draft as t } from '../../views/texts/en/draft.ts';
import { fields as sentences } from '../../views/texts/en/fields.ts';
import { rotation as rotationTexts } from '../../views/texts/en/rotation.ts';
import { drawPresets } from '../clubs/draw-preset.ts';
import { choiceField, integerField, tickField } from '../shared/fields.ts';
import { changeoverMs } from './plan-fairness.ts';
import { type DrawChoices, heatsInTime } from './plan-request.ts';
import { drawLimits } from './rotation.ts';

/** What the form of a draw goes by. */
export interface DrawForm {
  /** Lane numbers of the track. */
  readonly lanes: readonly number[];
  /** Longest length of a heat; null where nobody can say. */
  readonly heatMs: number | null;
  /** What a field holds that was not sent. */
  readonly usual: Readonly<Record<string, string>>;
}

/** Largest values of the form's numbers that no other rule gives. */
export const formLimits = { heats: 500, minutes: 24 * 60, searchS: drawLimits.budgetMs / 1000 } as const;

/** What was asked for, with what belongs to this one draft. */
export type AskedDraw = Omit<DrawChoices, 'seed'> & {
  readonly seed: number | null;
  /** Fingerprint of the plan that the draft is for; null: whatever the plan is. */
  readonly plan: string | null;
  /** Units of work after which the search was stopped. */
  readonly steps: number | null;
  readonly length: 'runs' | 'heats' | 'minutes';
  readonly minutes: number | null;
  /** Remember for the club what matters most. */
  readonly keep: boolean;
};

/** The fields of the form. */
export const drawFields = [
  ...[
    'aim',
    'method',
    'runsPerLane',
    'length',
    'mostHeats',
    'minutes',
    'more',
    'carsPerHeat',
    'marshals',
    'everyoneMarshals',
  ],
  ...[
    'lanesOut',
    'laneOrder',
    'order',
    'pairs',
    'groups',
    'split',
    'search',
    'lateRuns',
    'keep',
    'seed',
    'plan',
    'steps',
  ],
] as const;

/**
 * The form of a draw, as an address of a draft or as a form that is posted: every field may be missing. Fields of the
 * form: `aim` 0 opponents, 1 balanced, 2 rest; `length` with `mostHeats` and `minutes`; the others as in `AskedDraw`.
 */
export function drawSchema({ lanes, heatMs, usual }: DrawForm) {
  const top = Math.max(...lanes);
  /** The field, or what it usually holds when it is missing or empty. */
  const or = <S extends z.ZodType<unknown, string>>(name: string, field: S) =>
    z
      .string()
      .optional()
      .transform((typed) => (typed === undefined || typed.trim() === '' ? (usual[name] ?? '') : typed))
      .pipe(field);
  const orNull = <S extends z.ZodType<unknown, string>>(field: S) =>
    z
      .string()
      .optional()
      .transform((typed, ctx): z.output<S> | null => {
        if (typed === undefined || typed.trim() === '') return null;
        const parsed = field.safeParse(typed);
        if (parsed.success) return parsed.data;
        for (const issue of parsed.error.issues) ctx.addIssue({ code: 'custom', message: issue.message });
        return z.NEVER;
      });
  const shape = {
    aim: or('aim', choiceField(['0', '1', '2'])),
    method: or('method', choiceField(['search', 'step'])),
    runsPerLane: or('runsPerLane', integerField(1, drawLimits.runsPerLane)),
    length: or('length', choiceField(['runs', 'heats', 'minutes'])),
    mostHeats: orNull(integerField(1, formLimits.heats)),
    minutes: orNull(integerField(1, formLimits.minutes)),
    more: tickField,
    carsPerHeat: orNull(integerField(1, lanes.length)),
    marshals: or('marshals', integerField(0, drawLimits.marshals)),
    everyoneMarshals: tickField,
    lanesOut: z.union([z.string(), z.array(z.string())]).optional(),
    laneOrder: or('laneOrder', laneOrderField(top)),
    order: or('order', choiceField(['lot', 'signUp'])),
    pairs: tickField,
    groups: or('groups', integerField(1, drawLimits.drivers)),
    split: or('split', choiceField(['pace', 'lot'])),
    search: or('search', integerField(0, formLimits.searchS)),
    lateRuns: orNull(integerField(1, drawLimits.runsPerLane)),
    keep: tickField,
    seed: orNull(integerField(0, 2 ** 32 - 1)),
    plan: z.string().max(64).optional(),
    steps: orNull(integerField(0, Number.MAX_SAFE_INTEGER)),
  };
  return z.object(shape).transform((typed, ctx): AskedDraw => {
    const wrong = (path: string, message: string) => {
      ctx.addIssue({ code: 'custom', message, path: [path] });
      return z.NEVER;
    };
    const named = [typed.lanesOut ?? []].flat().map(Number);
    const lanesOut = lanes.filter((lane) => named.includes(lane) || !typed.laneOrder.includes(lane));
    if (named.some((lane) => !lanes.includes(lane))) return wrong('lanesOut', sentences.choice);
    if (lanesOut.length === lanes.length) return wrong('lanesOut', t.noLaneLeft);
    if (typed.pairs && lanes.length - lanesOut.length !== 2) return wrong('pairs', t.pairsLanes);
    let mostHeats: number | null = null;
    if (typed.length === 'heats') {
      if (typed.mostHeats === null) return wrong('mostHeats', sentences.between(1, formLimits.heats));
      mostHeats = typed.mostHeats;
    } else if (typed.length === 'minutes') {
      if (heatMs === null) return wrong('minutes', t.noHeatLength);
      if (typed.minutes === null) return wrong('minutes', sentences.between(1, formLimits.minutes));
      mostHeats = heatsInTime(typed.minutes, heatMs, changeoverMs);
      if (mostHeats < 1) return wrong('minutes', t.noHeatFits(minutesFor(1, heatMs)));
    }
    const { search, pairs, aim, mostHeats: _, ...same } = typed;
    return {
      ...same,
      aim: drawPresets[Number(aim)] ?? drawPresets[0],
      mostHeats,
      lanesOut,
      format: pairs ? 'pairs' : 'lanes',
      budgetMs: search * 1000,
      plan: typed.plan === undefined || typed.plan === '' ? null : typed.plan,
    };
  });
}

/** The least whole minutes in which so many heats fit. */
export const minutesFor = (heats: number, heatMs: number) => Math.ceil((heats * (heatMs + changeoverMs)) / 60_000);

/** Lane numbers of a track with so many lanes, each at most once: `1 3 4 2`, with spaces or commas. */
function laneOrderField(lanes: number) {
  return z.string().transform((typed, ctx) => {
    const order = typed
      .split(/[\s,;]+/)
      .filter((part) => part !== '')
      .map(Number);
    const right = order.every((lane) => Number.isInteger(lane) && lane >= 1 && lane <= lanes);
    if (right && order.length > 0 && new Set(order).size === order.length) return order;
    ctx.addIssue({ code: 'custom', message: rotationTexts.laneOrderWrong(lanes) });
    return z.NEVER;
  });
}
