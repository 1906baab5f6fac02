import { common } from '../texts/en/common.ts';

/** The states of a heat, in the order in which it passes through them. */
export type HeatStateName = 'planned' | 'armed' | 'countdown' | 'running' | 'held' | 'ended' | 'confirmed' | 'void';

/** Every state has its own outline, so that it is known without its colour and from afar. */
const shapes: Readonly<Record<HeatStateName, string>> = {
  planned: 'M10 1a9 9 0 1 0 0 18a9 9 0 1 0 0-18zM10 4a6 6 0 1 1 0 12a6 6 0 1 1 0-12z',
  armed: 'M10 0L20 10L10 20L0 10zM10 4.2L4.2 10L10 15.8L15.8 10z',
  countdown: 'M10 1a9 9 0 1 0 0 18a9 9 0 1 0 0-18zM10 4v6h6a6 6 0 1 1-6-6z',
  running: 'M3 1L19 10L3 19z',
  held: 'M2 2h16v16H2z',
  ended: 'M2 1h2v18H2zM5 1h4.5v4H5zM14 1h4.5v4H14zM9.5 5H14v4H9.5zM5 9h4.5v4H5zM14 9h4.5v4H14z',
  confirmed: 'M7.6 18L0 10.4l3-3l4.6 4.6L17 2.6l3 3z',
  void: 'M3.5 1L10 7.5L16.5 1L19 3.5L12.5 10L19 16.5L16.5 19L10 12.5L3.5 19L1 16.5L7.5 10L1 3.5z',
};

interface StateMarkProps {
  state: HeatStateName;
  /** Instead of the state's own word. */
  word?: string | undefined;
  size?: 'm' | 'l' | 'wall' | undefined;
  id?: string | undefined;
}

/** The state of a heat: shape, then word. */
export function StateMark({ state, word = common.heatState[state], size = 'm', id }: StateMarkProps) {
  return (
    <span class={`state state-${state} state-${size}`} id={id}>
      <svg class="state-shape" viewBox="0 0 20 20" aria-hidden="true" focusable="false">
        <path fill-rule="evenodd" d={shapes[state]} />
      </svg>
      {word}
    </span>
  );
}
