import type { HandicapMode } from './handicap-values.ts';
import type { DriverFit, PaceFit } from './pace-fit.ts';
import { starterOf } from './starter-of.ts';
import { type AmountParts, type PaceFigures, paceFigures, type Why } from './why.ts';

/** What a page tells of one driver's handicap in one heat. */
export interface WhyStory {
  readonly mode: HandicapMode;
  /** Delay in milliseconds; credit in hundredths of a lap, or milliseconds in a heat over laps. */
  readonly amount: number;
  readonly byHand: boolean;
  readonly lane: number;
  readonly own: PaceFigures;
  /** Who is helped most in the heat, where that is somebody else. */
  readonly other: { readonly lane: number; readonly figures: PaceFigures } | null;
  /** Where they were kept. */
  readonly parts: AmountParts | null;
}

/** A line of a stored plan; what older ones do not hold is missing. */
interface StoredLine {
  readonly lane: number;
  readonly entryId: string;
  readonly delayMs: number;
  readonly credit: number;
  readonly byHand?: boolean;
  readonly why?: Pick<Why, 'own' | 'parts'> | null;
}

export interface WhyHeat {
  /** As stored. */
  readonly plan: string;
  readonly entryId: string;
  readonly track: string;
  readonly carClass: string;
  readonly lanes: readonly {
    readonly lane: number;
    readonly entryId: string;
    readonly driverId: string;
    readonly group: DriverFit['group'];
  }[];
}

/**
 * The figures behind a handicap as they were kept with it; where they were not, as the fit has them now.
 *
 * @param fit null where there is none
 * @returns null where nothing can be said
 */
export function whyStory(heat: WhyHeat, fit: PaceFit | null): WhyStory | null {
  const stored = readPlan(heat.plan);
  const line = stored?.lanes.find(({ entryId }) => entryId === heat.entryId);
  if (!stored || !line) return null;
  const mode = stored.mode ?? (stored.lanes.some(({ credit }) => credit !== 0) ? 'credit' : 'delay');
  const amountOf = (one: StoredLine) => (mode === 'credit' ? one.credit : one.delayMs);
  const helped = stored.lanes.reduce((best, one) => {
    const more = mode === 'credit' ? amountOf(one) > amountOf(best) : amountOf(one) < amountOf(best);
    return more ? one : best;
  }, line);
  const figuresOf = (one: StoredLine): PaceFigures | null => {
    if (one.why) return one.why.own;
    const seat = heat.lanes.find(({ entryId }) => entryId === one.entryId);
    if (!seat || !fit) return null;
    const { driverId: driver, lane, group } = seat;
    const starter = starterOf(fit, { driver, lane, group, track: heat.track, carClass: heat.carClass });
    return starter && paceFigures(starter);
  };
  const own = figuresOf(line);
  const other = helped.entryId === line.entryId ? null : figuresOf(helped);
  if (!own) return null;
  return {
    mode,
    amount: amountOf(line),
    byHand: line.byHand ?? false,
    lane: line.lane,
    own,
    other: other && { lane: helped.lane, figures: other },
    parts: line.why?.parts ?? null,
  };
}

function readPlan(json: string): { mode?: HandicapMode; lanes: readonly StoredLine[] } | null {
  try {
    const plan = JSON.parse(json) as { mode?: HandicapMode; lanes: readonly StoredLine[] };
    return Array.isArray(plan.lanes) ? plan : null;
  } catch {
    return null;
  }
}
