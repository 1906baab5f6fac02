import type { ComponentChildren } from 'preact';
import { ClockBar, type ClockReading } from './clock-bar.tsx';
import type { LaneLook } from './lane-defaults.ts';
import { LaneMark } from './lane-mark.tsx';
import { type HeatStateName, StateMark } from './state-mark.tsx';

interface WallHeaderProps {
  /** One line: "Heat 4 of 12". */
  title: ComponentChildren;
  state: HeatStateName | null;
  clock?: ClockReading | undefined;
  laps?: { done: number; of: number } | undefined;
  id?: string | undefined;
}

/** The wall's single line of header: what runs, how it stands, what time is left; its rule is the clock's bar. */
export function WallHeader({ title, state, clock, laps, id = 'wall-header' }: WallHeaderProps) {
  return (
    <header class="wall-header" id={id}>
      <h1>{title}</h1>
      {state ? <StateMark state={state} size="wall" /> : null}
      {clock ? <ClockBar clock={clock} laps={laps} size="wall" /> : null}
    </header>
  );
}

export interface WallPlace {
  lane: LaneLook;
  name: string;
  /** Beside the name: what the lane is given. */
  note?: string | null | undefined;
}

interface WallNextProps {
  /** "Next: heat 5"; null where the header says so. */
  title: ComponentChildren;
  lanes: readonly WallPlace[];
  /** Who marshals where, one string a post: "Post 1 Ben". */
  marshals?: { label: string; posts: readonly string[] } | undefined;
  /** Over the whole screen, between heats. */
  full?: boolean | undefined;
  id?: string | undefined;
}

/** Who is called next, lane by lane, and who stands marshal. */
export function WallNext({ title, lanes, marshals, full, id = 'wall-next' }: WallNextProps) {
  return (
    <section class={full ? 'wall-next wall-next-full' : 'wall-next'} id={id}>
      {title === null ? null : <h2>{title}</h2>}
      <ol class="wall-lanes" data-lanes={lanes.length}>
        {lanes.map(({ lane, name, note }) => (
          <li key={lane.number}>
            <LaneMark lane={lane} size="wall" />
            <bdi class="wall-name">{name}</bdi>
            {note ? <span class="wall-note figure">{note}</span> : null}
          </li>
        ))}
      </ol>
      {marshals && marshals.posts.length > 0 ? (
        <p class="wall-marshals">
          <strong>{marshals.label}</strong> {marshals.posts.join(' · ')}
        </p>
      ) : null}
    </section>
  );
}
