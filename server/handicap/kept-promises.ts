import type { KeptPromise } from '../pace/promise.ts';
import { readTold } from './told.ts';

/** What was told before a heat, as stored, and how its race stands. */
export interface ToldAndRun {
  readonly heatId: string;
  readonly plan: string;
  /** `laps` where less time wins, else more laps win. */
  readonly format: string;
  /** Results JSON of the race in its latest revision. */
  readonly results: string;
}

interface Row {
  readonly entry: string;
  readonly heats: readonly { readonly heat: string; readonly score: number | null; readonly state: string }[];
}

/** Told chances with what came of them, of confirmed heats; a joint win is split. */
export function keptPromises(heats: readonly ToldAndRun[]): KeptPromise[] {
  return heats.flatMap(({ heatId, plan, format, results }) => {
    const told = readTold(plan);
    const run = (JSON.parse(results) as { rows: readonly Row[] }).rows.flatMap(({ entry, heats: own }) =>
      own.filter(({ heat, state }) => heat === heatId && state === 'confirmed').map(({ score }) => ({ entry, score })),
    );
    const scores = run.flatMap(({ score }) => (score === null ? [] : [score]));
    if (!told || scores.length === 0) return [];
    const best = format === 'laps' ? Math.min(...scores) : Math.max(...scores);
    // Nobody drove a lap: nobody won.
    if (format !== 'laps' && best <= 0) return [];
    const winners = scores.filter((score) => score === best).length;
    const starters = run.flatMap(({ entry, score }) => {
      const chance = told.lanes.find(({ entryId }) => entryId === entry)?.after ?? null;
      return [{ driver: entry, chance, share: score === best ? 1 / winners : 0 }];
    });
    const known = starters.flatMap(({ chance, ...rest }) => (chance === null ? [] : [{ ...rest, chance }]));
    // Where the line-up changed after it was told, nothing was promised.
    return known.length === starters.length && known.length === told.lanes.length ? [{ starters: known }] : [];
  });
}
