import type { Crossing } from './facts.ts';
import type { HeatState } from './fold.ts';

/** A lane's first early crossing in the last five seconds before its start. `lane` is the one it is treated as. */
export type FalseStart = { readonly lane: number; readonly crossing: Crossing };

/** The false starts of a heat, by lane. */
export function falseStarts(state: HeatState): FalseStart[] {
  return state.lanes.flatMap(({ rules, falseStart }) =>
    falseStart === null ? [] : [{ lane: rules.lane, crossing: falseStart }],
  );
}
