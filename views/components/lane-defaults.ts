/** How lanes look: number, pattern and mark first, colour second. */
import { common } from '../texts/en/common.ts';

export const lanePatterns = [
  'solid',
  'dots',
  'cross',
  'diagonal-down',
  'diagonal-up',
  'horizontal',
  'vertical',
  'checker',
] as const;
export type LanePattern = (typeof lanePatterns)[number];

export const laneMarks = ['disc', 'up', 'down', 'plus', 'square', 'diamond', 'star', 'hexagon'] as const;
/** A filled shape: where a lane is a point on a line or a map. */
export type LaneMarkShape = (typeof laneMarks)[number];

export interface LaneDefault {
  /** `#RRGGBB` */
  colour: string;
  pattern: LanePattern;
  mark: LaneMarkShape;
  /** The colour as a word, for calls and cards. */
  name: string;
}

export interface LaneLook {
  /** From 1. */
  number: number;
  /** `#RRGGBB` */
  colour: string;
  pattern: LanePattern;
  /** Default: the mark that belongs to the pattern. */
  mark?: LaneMarkShape | undefined;
  /** The colour as a word; leave out to speak of the number alone. */
  name?: string | null | undefined;
}

const words = common.lane.colours;

/**
 * The eight colours of Okabe and Ito, "Color Universal Design" (2008), white in the place of their black, which a dark
 * wall would swallow. The order puts the greatest smallest difference between neighbours (CIE76 ΔE 38.1, worst of
 * normal sight and the three simulated deficiencies, of all 5,040 orders with white last).
 */
export const laneDefaults: readonly LaneDefault[] = [
  { colour: '#CC79A7', pattern: 'solid', mark: 'disc', name: words.purple },
  { colour: '#F0E442', pattern: 'dots', mark: 'up', name: words.yellow },
  { colour: '#56B4E9', pattern: 'cross', mark: 'down', name: words.sky },
  { colour: '#D55E00', pattern: 'diagonal-down', mark: 'plus', name: words.vermilion },
  { colour: '#0072B2', pattern: 'diagonal-up', mark: 'square', name: words.blue },
  { colour: '#E69F00', pattern: 'horizontal', mark: 'diamond', name: words.orange },
  { colour: '#009E73', pattern: 'vertical', mark: 'star', name: words.green },
  { colour: '#FFFFFF', pattern: 'checker', mark: 'hexagon', name: words.white },
];

/**
 * The look of a lane that a club has not set. Lanes 9 to 16 repeat the colours with another pattern and mark, so that
 * no two of sixteen lanes share both.
 *
 * @param number lane number from 1
 */
export function defaultLook(number: number): LaneLook {
  const place = (number - 1) % laneDefaults.length;
  const round = Math.floor((number - 1) / laneDefaults.length);
  const base = laneDefaults[place] as LaneDefault;
  const shape = laneDefaults[(place + 3 * round) % laneDefaults.length] as LaneDefault;
  return { number, colour: base.colour, pattern: shape.pattern, mark: shape.mark, name: base.name };
}

/** The mark that goes with a pattern when none is set. */
export function markOf(look: LaneLook): LaneMarkShape {
  return look.mark ?? (laneMarks[lanePatterns.indexOf(look.pattern)] as LaneMarkShape);
}
