import { inkOn } from '../contrast.ts';
import type { LaneLook } from './lane-defaults.ts';
import { laneWords } from './lane-mark.tsx';

/** Pointed at both ends, as every lane's mark. */
const lozenge = 'M4.5 1.5h19L26.5 10l-3 8.5h-19L1.5 10z';

interface DriveMarkProps {
  lane: LaneLook;
  /** True where words beside it say the same. */
  decorative?: boolean | undefined;
}

/** A run in a picture of many: the lane's number in its lozenge, without pattern. */
export function DriveMark({ lane, decorative }: DriveMarkProps) {
  return (
    <svg class="drive-mark" viewBox="0 0 28 20" focusable="false" {...named(decorative ? null : laneWords(lane))}>
      <path class="lane-edge" d={lozenge} fill={lane.colour} />
      <text class="lane-number" x="14" y="15.5" text-anchor="middle" fill={inkOn(lane.colour)}>
        {lane.number}
      </text>
    </svg>
  );
}

/** A marshal post: outlined and square where a run is filled and pointed. Without a label words beside it say so. */
export function MarshalMark({ label = null }: { label?: string | null | undefined }) {
  return (
    <svg class="marshal-mark" viewBox="0 0 20 20" focusable="false" {...named(label)}>
      <path d="M4 4h12v12H4z" />
    </svg>
  );
}

const named = (label: string | null) =>
  label === null ? ({ 'aria-hidden': 'true' } as const) : ({ role: 'img', 'aria-label': label } as const);
