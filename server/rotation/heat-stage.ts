import { groupBy } from '../shared/group-by.ts';

/** What happened in a heat, as far as whoever changes the plan must know. */

/** One event or ruling of a heat; `target` as stored, in JSON, of a ruling only. */
export type HeatMark = {
  readonly heatId: string;
  readonly n: number;
  readonly kind: string;
  readonly target: string | null;
};

/**
 * `planned`: it has no facts. `armed`: it has facts (its sensors were armed at some time), it was never started. `run`: it was
 * started and counts. `void`: it was started and counts for nobody.
 */
export type HeatStage = 'planned' | 'armed' | 'run' | 'void';

/**
 * The stage of one heat.
 *
 * @param marks of one heat, by rising number. An undo may itself be undone; as it names an earlier ruling only, going
 *   backwards settles each undo before what it names
 */
export function heatStage(marks: readonly HeatMark[]): HeatStage {
  if (!marks.some((mark) => mark.kind === 'start')) return marks.length > 0 ? 'armed' : 'planned';
  const undone = new Set<number>();
  for (const mark of marks.toReversed()) {
    if (undone.has(mark.n)) continue;
    if (mark.kind === 'void') return 'void';
    if (mark.kind === 'undo') undone.add((JSON.parse(mark.target ?? '{}') as { n: number }).n);
  }
  return 'run';
}

/**
 * The heats that are on the plan, with their stages.
 *
 * @param heats in the order in which they are run; those taken off the plan are left out of the answer
 * @param marks of all of them, those of one heat by rising number
 */
export function stageHeats<H extends { readonly id: string; readonly removedAt: Date | null }>(
  heats: readonly H[],
  marks: readonly HeatMark[],
): (H & { stage: HeatStage })[] {
  const byHeat = groupBy(marks, (mark) => mark.heatId);
  return heats
    .filter((heat) => heat.removedAt === null)
    .map((heat) => ({ ...heat, stage: heatStage(byHeat.get(heat.id) ?? []) }));
}
