import { draft as t } from '../../views/texts/en/draft.ts';
import { draw as drawTexts } from '../../views/texts/en/draw.ts';
import { rotation as rotationTexts } from '../../views/texts/en/rotation.ts';
import { type Nearest, nearestDraw } from './draw-nearest.ts';
import { type AskedDraw, minutesFor } from './draw-schema.ts';
import { type DrawChoices, type DrawPlan, type PlanRequest, planRequest } from './plan-request.ts';
import { type DrawProblem, problemOf } from './request-check.ts';

/** What was asked for, ready to draw; or what is wrong with it, in words beside its field. */
export type Prepared =
  | { readonly ok: true; readonly choices: DrawChoices; readonly planned: PlanRequest }
  | { readonly ok: false; readonly field: string; readonly sentence: string; readonly nearest: Nearest | null };

/**
 * Turns what was asked for into the request of a draw.
 *
 * @param nameOf the nickname of an entry
 * @param heatMs longest length of a heat; null where nobody can say
 */
export function prepareDraw(
  plan: DrawPlan,
  asked: AskedDraw,
  seed: number,
  nameOf: (entryId: string) => string,
  heatMs: number | null,
): Prepared {
  const choices = { ...asked, seed };
  const planned = planRequest(plan, choices);
  if (!planned) return { ok: false, field: '', sentence: rotationTexts.nobodyHere, nearest: null };
  const problem = problemOf(planned.request, null);
  // Somebody who is alone may still drive: the engine gives them their lanes one after the other.
  if (!problem || (problem.code === 'too few drivers' && problem.drivers === 1)) {
    const { steps } = asked;
    return { ok: true, choices, planned: { ...planned, request: { ...planned.request, steps } } };
  }
  const field = fieldOf(problem, asked);
  const nearest = nearestDraw(problem);
  const inTime = asked.length === 'minutes' && heatMs !== null && typeof nearest?.mostHeats === 'string';
  return {
    ok: false,
    field,
    sentence: sentenceOf(problem, nameOf),
    nearest: inTime ? { minutes: String(minutesFor(Number(nearest.mostHeats), heatMs)) } : nearest,
  };
}

/** The field of the form that a problem is about; '' for the form as a whole. */
function fieldOf(problem: DrawProblem, asked: AskedDraw): string {
  switch (problem.key) {
    case 'groups':
    case 'carsPerHeat':
    case 'lanesOut':
    case 'runsPerLane':
      return problem.key;
    case 'format':
      return 'pairs';
    case 'join':
      return 'lateRuns';
    case 'heats':
      return { runs: '', heats: 'mostHeats', minutes: 'minutes' }[asked.length];
    default:
      return '';
  }
}

function sentenceOf(problem: DrawProblem, nameOf: (entryId: string) => string): string {
  if (problem.code === 'pairs lanes') return t.pairsLanes;
  const named = 'name' in problem ? { ...problem, name: nameOf(problem.name) } : problem;
  // The texts have one function a code, each taking what its problem holds.
  const say = drawTexts.problems[problem.code] as (problem: DrawProblem) => string;
  return say(named);
}
