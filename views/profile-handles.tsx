import type { CurveHandle } from '../server/profiles/pictures.ts';
import { across, up } from './components/plot.tsx';
import { profilePictures as t } from './texts/en/profile-pictures.ts';

/** What a finger can hit, and what it sees, in pixels. */
const reach = 22;
const knob = 9;

/** Every handle that a curve can have; those that it has not wait unseen, for a script adds and removes points. */
const keys: readonly CurveHandle['key'][] = ['min', 'shape', 1, 2, 3, 4, 5, 6, 7, 'max'];

/**
 * Points of the throttle curve to take hold of, over its drawing. A script shows them, moves them and puts what they say
 * into the number fields; without scripts there are the fields alone.
 */
export function CurveHandles({ handles }: { handles: readonly CurveHandle[] }) {
  return (
    <svg class="plot-handles" id="curve-handles" role="group" aria-label={t.handles.group} hidden>
      {keys.map((key) => (
        <Handle key={key} name={key} at={handles.find((handle) => handle.key === key) ?? null} />
      ))}
    </svg>
  );
}

function Handle({ name, at }: { name: CurveHandle['key']; at: CurveHandle | null }) {
  const { x, duty } = at ?? { x: 0, duty: 0 };
  const [trigger, drive] = [Math.round(x * 1000) / 10, Math.round(duty * 1000) / 10];
  return (
    <g
      id={`handle-${name}`}
      class="plot-handle"
      data-handle={name}
      data-value-words={t.handles.value('{trigger}', '{drive}')}
      role="slider"
      tabindex={0}
      aria-label={typeof name === 'number' ? t.handles.point(name) : t.handles[name]}
      aria-orientation="vertical"
      aria-valuemin={0}
      aria-valuemax={100}
      aria-valuenow={drive}
      aria-valuetext={t.handles.value(String(trigger), String(drive))}
      {...(at === null ? { hidden: true } : {})}
    >
      <circle class="plot-reach" cx={across(x)} cy={up(duty)} r={reach} />
      <circle class="plot-knob" cx={across(x)} cy={up(duty)} r={knob} />
    </g>
  );
}
