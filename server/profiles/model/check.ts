import { curvePoints, leastDriveSpan, type Tuning } from './profile.ts';

/** What can be wrong between fields that are each in their range. */
export type ProfileProblem =
  /** Maximum drive is not far enough above minimum drive. */
  | 'driveSpan'
  /** The drag zone ends before it begins. */
  | 'dragZone'
  /** Terminals shorted in the off time and current given back to the supply exclude each other. */
  | 'syncFast'
  /** Fewer than two points, or more than nine. */
  | 'pointCount'
  /** The curve does not go from [0, 0] to [1000, 1000]. */
  | 'pointEnds'
  /** Two points whose triggers are too close, or in the wrong order. */
  | 'pointsApart'
  /** A drive below that of the point before. */
  | 'pointsFall';

/** The rules that hold between the fields of a profile; an empty list for one that keeps them all. */
export function problemsOf(tuning: Pick<Tuning, 'minDrive' | 'maxDrive' | 'curve' | 'drag' | 'decay' | 'rectify'>) {
  const problems: ProfileProblem[] = [];
  if (tuning.maxDrive < tuning.minDrive + leastDriveSpan) problems.push('driveSpan');
  if (tuning.drag.zoneFrom > tuning.drag.zoneTo) problems.push('dragZone');
  if (tuning.rectify === 'sync' && tuning.decay === 'fast') problems.push('syncFast');
  if (tuning.curve.kind === 'points') problems.push(...pointProblems(tuning.curve.points));
  return problems;
}

function pointProblems(points: readonly (readonly [number, number])[]): ProfileProblem[] {
  if (points.length < curvePoints.fewest || points.length > curvePoints.most) return ['pointCount'];
  const problems: ProfileProblem[] = [];
  const [first, last] = [points[0], points.at(-1)];
  if (first?.[0] !== 0 || first[1] !== 0 || last?.[0] !== 1000 || last[1] !== 1000) problems.push('pointEnds');
  const steps = points.slice(1).map(([x, y], i) => {
    const [beforeX, beforeY] = points[i] as readonly [number, number];
    return { x: x - beforeX, y: y - beforeY };
  });
  if (steps.some(({ x }) => x < curvePoints.leastApart)) problems.push('pointsApart');
  if (steps.some(({ y }) => y < 0)) problems.push('pointsFall');
  return problems;
}
