import { inkOn } from '../contrast.ts';
import { common } from '../texts/en/common.ts';
import { hatch, markPaths } from './hatch.ts';
import { type LaneLook, type LaneMarkShape, markOf } from './lane-defaults.ts';

interface LaneMarkProps {
  lane: LaneLook;
  /** `s` beside text, `m` (default) in tables, `l` on cards and control, `wall` at the size of the wall's figures. */
  size?: 's' | 'm' | 'l' | 'wall' | undefined;
  /** True where the words "Lane 3" stand right beside it. */
  decorative?: boolean | undefined;
}

/** Pointed at both ends like the flag under a car; the number's half is plain, the other carries the pattern. */
const outline = 'M9 1.5H52L58.5 16L52 30.5H9L1.5 16z';

/** The words of a lane: "Lane 3, sky blue". */
export function laneWords(lane: LaneLook): string {
  return lane.name ? common.lane.nameAndColour(lane.number, lane.name) : common.lane.name(lane.number);
}

/** A lane: its number in a lozenge, its pattern, its colour. The number is the identity, the rest decoration. */
export function LaneMark({ lane, size = 'm', decorative }: LaneMarkProps) {
  const ink = inkOn(lane.colour);
  const pattern = hatch(lane.pattern, { x: 35, y: 4, width: 16, height: 24 }, lane.pattern === 'checker' ? 4 : 5);
  return (
    <svg
      class={`lane-mark lane-mark-${size}`}
      viewBox="0 0 60 32"
      focusable="false"
      role="img"
      aria-label={decorative ? undefined : laneWords(lane)}
      aria-hidden={decorative ? 'true' : undefined}
    >
      <path class="lane-edge" d={outline} fill={lane.colour} stroke-width="3" stroke-linejoin="round" />
      <LanePatternPath lane={lane} pattern={pattern} strokeWidth={1.6} />
      <text
        class={lane.number > 9 ? 'lane-number lane-number-long' : 'lane-number'}
        x="20"
        y="24"
        text-anchor="middle"
        fill={ink}
      >
        {lane.number}
      </text>
    </svg>
  );
}

interface LanePatternPathProps {
  lane: LaneLook;
  pattern: ReturnType<typeof hatch>;
  strokeWidth: number;
}

/** A lane's pattern in the ink that reads on its colour. */
export function LanePatternPath({ lane, pattern, strokeWidth }: LanePatternPathProps) {
  const ink = inkOn(lane.colour);
  if (pattern.d === '') return null;
  return pattern.filled ? (
    <path class="lane-pattern-fill" d={pattern.d} fill={ink} />
  ) : (
    <path class="lane-pattern-stroke" d={pattern.d} fill="none" stroke={ink} stroke-width={strokeWidth} />
  );
}

interface LaneMarkerProps {
  lane: LaneLook;
  shape?: LaneMarkShape | undefined;
}

/** The lane's mark alone, around the origin of the drawing it stands in: 20 user units across. */
export function LaneMarker({ lane, shape = markOf(lane) }: LaneMarkerProps) {
  return <path class="lane-edge" d={markPaths[shape]} fill={lane.colour} stroke-width="2" stroke-linejoin="round" />;
}
