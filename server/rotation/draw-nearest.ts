import type { Typed } from './draw-form.ts';
import { type DrawForm, formLimits, minutesFor } from './draw-schema.ts';
import type { DrawProblem } from './request-check.ts';
import { drawLimits } from './rotation.ts';

/** Fields to fill in otherwise; null leaves the field to what is usual. */
export type Nearest = Readonly<Record<string, string | readonly string[] | null>>;

/**
 * The nearest form that can be read: numbers that are too large or too small become the largest or smallest possible,
 * what cannot be read at all is left out.
 *
 * @param wrong names of the fields that are wrong
 */
export function nearestForm(form: DrawForm, typed: Typed, wrong: readonly string[]): Nearest {
  const ranges: Record<string, readonly [number, number]> = {
    runsPerLane: [1, drawLimits.runsPerLane],
    mostHeats: [1, formLimits.heats],
    minutes: [form.heatMs === null ? 1 : minutesFor(1, form.heatMs), formLimits.minutes],
    carsPerHeat: [1, form.lanes.length],
    marshals: [0, drawLimits.marshals],
    groups: [1, drawLimits.drivers],
    lateRuns: [1, drawLimits.runsPerLane],
    search: [0, formLimits.searchS],
  };
  const nearest: Record<string, string | null> = {};
  for (const name of wrong) {
    const range = ranges[name];
    const value = Number(typed[name]);
    const asked = typed[name] !== undefined && typed[name] !== '' && !Number.isNaN(value);
    nearest[name] = range && asked ? String(Math.round(Math.min(Math.max(value, range[0]), range[1]))) : null;
    // A cap without its number is no cap.
    if (
      (name === 'mostHeats' || name === 'minutes') &&
      (nearest[name] === null || (name === 'minutes' && form.heatMs === null))
    ) {
      nearest.length = 'runs';
      nearest[name] = null;
    }
  }
  return nearest;
}

/** The nearest form to one that contradicts itself; null where nobody can say. */
export function nearestDraw(problem: DrawProblem): Nearest | null {
  switch (problem.code) {
    case 'too many groups':
      return { groups: String(problem.nearest) };
    case 'small group':
    case 'in no group':
    case 'in two groups':
    case 'stranger in a group':
      return { groups: '1' };
    case 'pairs lanes':
    case 'pairs cars':
      return { pairs: null };
    case 'pairs heats':
      return { length: 'heats', mostHeats: String(problem.single) };
    case 'too few heats':
    case 'too many heats':
      return { length: 'heats', mostHeats: String(problem.nearest), more: null };
    case 'joins with too many runs':
      return { lateRuns: String(Math.max(1, problem.nearest)) };
    case 'cars':
      return { carsPerHeat: String(problem.nearest) };
    default:
      return null;
  }
}

/**
 * The most runs on every lane for which nobody has more heats than the race gives each; null when not even one fits.
 *
 * @param heats that the race gives each
 */
export function nearestRuns(heats: number, lanesInUse: number): Nearest | null {
  const runs = Math.floor(heats / lanesInUse);
  return runs < 1 ? null : { runsPerLane: String(runs), lateRuns: null };
}
