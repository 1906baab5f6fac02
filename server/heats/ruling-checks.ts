import type { CrossingKey, Decision } from './facts.ts';
import type { HeatPlan } from './plan.ts';

/** Why a ruling cannot be what it says, whatever the state of its heat. */
export type RulingRefusal =
  /** It names a crossing that its heat does not have. */
  | 'no-such-crossing'
  | 'no-such-lane'
  /** It asks for a driver on a lane where nobody drives. */
  | 'lane-without-entry'
  | 'entry-of-another-race'
  | 'entry-not-in-heat'
  /** It undoes something that is no earlier ruling of its heat. */
  | 'no-such-ruling'
  /** Part laps are asked for in *time* heats only. */
  | 'part-in-a-laps-heat'
  | 'value-out-of-range';

/** What a ruling may name. */
export type RulingContext = {
  readonly plan: HeatPlan;
  /** Whether a crossing belongs to the heat. */
  readonly hasCrossing: (key: CrossingKey) => boolean;
  /** Whether an entry belongs to the heat's race. */
  readonly isEntryOfRace: (entry: string) => boolean;
  /** Whether a number is that of a ruling of the heat. */
  readonly isRuling: (n: number) => boolean;
};

/** Why a ruling is refused: it names nothing, names what it may not, or its value is out of the table; or null. */
export function checkRuling(ruling: Decision, context: RulingContext): RulingRefusal | null {
  switch (ruling.kind) {
    case 'judge':
      if (!context.hasCrossing(ruling.target)) return 'no-such-crossing';
      return inRange(ruling.value, 0, 9);
    case 'move':
      if (!context.hasCrossing(ruling.target)) return 'no-such-crossing';
      return drivenLane(context.plan, ruling.value);
    case 'adjust':
      if ('lane' in ruling.target) return drivenLane(context.plan, ruling.target.lane);
      return inRace(context, ruling.target.entry);
    case 'total':
      return drivenLane(context.plan, ruling.target.lane) ?? inRange(ruling.value, 0, Number.MAX_SAFE_INTEGER);
    case 'part':
      if (context.plan.format.kind === 'laps') return 'part-in-a-laps-heat';
      return drivenLane(context.plan, ruling.target.lane) ?? inRange(ruling.value, 0, 99);
    case 'retire':
      return drivenLane(context.plan, ruling.target.lane);
    case 'exclude':
      return ruling.value === 'heat' ? inHeat(context.plan, ruling.target.entry) : inRace(context, ruling.target.entry);
    case 'void':
      return null;
    case 'undo':
      return context.isRuling(ruling.target.n) ? null : 'no-such-ruling';
  }
}

function drivenLane(plan: HeatPlan, number: number): RulingRefusal | null {
  const lane = plan.lanes.find(({ lane }) => lane === number);
  if (lane === undefined) return 'no-such-lane';
  return lane.entry === null ? 'lane-without-entry' : null;
}

function inHeat(plan: HeatPlan, entry: string): RulingRefusal | null {
  return plan.lanes.some((lane) => lane.entry === entry) ? null : 'entry-not-in-heat';
}

function inRace({ isEntryOfRace }: RulingContext, entry: string): RulingRefusal | null {
  return isEntryOfRace(entry) ? null : 'entry-of-another-race';
}

function inRange(value: number, least: number, most: number): RulingRefusal | null {
  return Number.isSafeInteger(value) && value >= least && value <= most ? null : 'value-out-of-range';
}
