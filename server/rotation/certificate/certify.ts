import type { Certificate, Criterion, Driver, Preset, Seat } from '../rotation.ts';
import * as bounds from './bounds.ts';
import { allHeats, type CountedNight, countNight, heatsOfDrivers } from './counted-night.ts';
import { opponentsDesignBound } from './designs.ts';
import { certifyDuty } from './duty.ts';
import * as figures from './figures.ts';
import {
  backToBacksGivenOpponents,
  fixedGroupsSquares,
  opponentsBounds,
  opponentsGivenBackToBacks,
} from './opponents.ts';
import { sumOf, sumOfSquares } from './squares.ts';
import { judge } from './verdicts.ts';

/**
 * What decided about the heats: a preset, a published table (`table`), announced heats that had to stay (`kept heats`)
 * or people (`by hand`). It gives figures above their bound their verdict.
 */
export type Purpose = Preset | 'table' | 'kept heats' | 'by hand';

/** A night to certify. */
export interface Night {
  /** Everybody who ran or will run. Others who are seated in `done` are taken for drivers who left. */
  readonly drivers: readonly Driver[];
  /** Lanes of the track. */
  readonly lanes: number;
  /** Lane numbers not used in `heats`. */
  readonly lanesOut?: readonly number[];
  /** Heats that were run, oldest first; seats by lane of the track. */
  readonly done?: readonly (readonly Seat[])[];
  /** Heats to come, in order; seats by lane of the track. */
  readonly heats: readonly (readonly Seat[])[];
  /** Who marshals each of `heats`. */
  readonly marshals: readonly (readonly Driver[])[];
  /** Marshals wanted in each heat. */
  readonly wanted: number;
  /** Drivers who never stand marshal. */
  readonly exempt?: readonly Driver[];
  /** Drivers who race no more. */
  readonly leave?: readonly Driver[];
  /** Drivers who came after `done`: they did not wait before. */
  readonly late?: readonly Driver[];
  /** Most cars that one heat may hold; null: as many as there are lanes in use. */
  readonly carsPerHeat?: number | null;
  readonly purpose: Purpose;
}

/**
 * Measures a night from its heats alone, however they came about, and sets each figure beside a bound that no rotation
 * with the same heats done, and the same runs in as many equally large heats to come, can beat; for neighbours and
 * take-overs none with the same runs on each lane. "Proved best" is said only of a figure that equals its bound.
 *
 * @throws RangeError when a heat to come seats somebody who is not among the drivers
 */
export function certify(given: Night): Certificate {
  const { purpose } = given;
  const night = countNight(given);
  const rows = allHeats(night);
  const drivers = night.nextRuns.length;
  const racing = night.racing.flatMap((races, d) => (races ? [d] : []));
  const heatsOf = heatsOfDrivers(rows, drivers);
  const firstDraw = night.done.length === 0;

  const spread = figures.laneSpread(rows, racing, night.lanes);
  const laneBound = bounds.laneSpreadBound(night);
  const opponents = certifyOpponents(night, given);
  const count = figures.backToBacksIn(rows);
  const longest = Math.max(
    0,
    ...racing.map((d) => figures.longestWait(heatsOf[d] ?? [], night.late[d] ? night.done.length : 0, rows.length)),
  );
  const neighbours = new figures.PairCounts(drivers, figures.sideBySideOf(rows)).eitherCounts();
  const carryOver = new figures.PairCounts(drivers, figures.takeOversOf(rows)).orderedCounts();
  const deviation = sumOf(racing.map((d) => figures.offMidNight(heatsOf[d] ?? [], rows.length)));
  const neighboursBound = bounds.neighboursBound(
    night,
    new figures.PairCounts(drivers, figures.sideBySideOf(night.done)),
  );
  const carryOverBound = bounds.carryOverBound(night, new figures.PairCounts(drivers, figures.takeOversOf(night.done)));

  return {
    lanes: { spread, ...judge(purpose, 'lanes', spread, laneBound, firstDraw ? 'theorem' : 'bound reached') },
    opponents,
    backToBack: { count, ...judgeBackToBacks(night, given, count, opponents.sumSquares) },
    sitOut: { longest, ...judgeSitOut(night, given, longest, opponents.sumSquares) },
    neighbours: {
      ...mostAndSquares(neighbours),
      ...judge(purpose, 'neighbours', sumOfSquares(neighbours), neighboursBound, 'bound reached'),
    },
    carryOver: {
      ...mostAndSquares(carryOver),
      ...judge(purpose, 'carryOver', sumOfSquares(carryOver), carryOverBound, 'bound reached'),
    },
    duty: certifyDuty({
      drivers: given.drivers.filter((_, d) => night.racing[d]),
      exempt: given.exempt ?? [],
      heats: given.heats,
      marshals: given.marshals,
      wanted: given.wanted,
      purpose,
    }),
    timeOfNight: {
      deviation,
      ...judge(purpose, 'timeOfNight', deviation, bounds.timeOfNightBound(night), 'bound reached'),
    },
  };
}

const mostAndSquares = (counts: readonly number[]) => ({
  max: counts.reduce((most, count) => Math.max(most, count), 0),
  sumSquares: sumOfSquares(counts),
});

function certifyOpponents(night: CountedNight, { purpose }: Night): Certificate['opponents'] {
  const meetings = new figures.PairCounts(night.nextRuns.length, figures.meetingsOf(allHeats(night)));
  const sumSquares = sumOfSquares(meetings.eitherCounts());
  const stillMeeting = meetings.eitherCounts((a, b) => night.racing[a] === true && night.racing[b] === true);
  const counted = opponentsBounds(night);
  // A bound that was met needs no proof that it cannot be.
  const bound = sumSquares === counted.sumSquares ? sumSquares : opponentsDesignBound(night, counted.sumSquares);
  const runs = night.nextRuns.map((r, d) => r + (night.doneRuns[d] ?? 0));
  return {
    min: stillMeeting.length === 0 ? 0 : stillMeeting.reduce((least, count) => Math.min(least, count)),
    max: stillMeeting.reduce((most, count) => Math.max(most, count), 0),
    sumSquares,
    spreadBound: bound > counted.sumSquares ? 2 : counted.spread,
    ...(runs.some((r) => r !== runs[0]) ? { deviationHundredths: figures.deviationHundredths(meetings, runs) } : {}),
    ...judgeOpponents(night, purpose, sumSquares, bound, bound > counted.sumSquares),
  };
}

function judgeOpponents(
  night: CountedNight,
  purpose: Purpose,
  sumSquares: number,
  bound: number,
  raised: boolean,
): Criterion {
  const verdict = judge(purpose, 'opponents', sumSquares, bound, raised ? 'no such design' : 'bound reached');
  if (verdict.verdict === 'best known') return raised ? { ...verdict, why: 'searched, bound raised' } : verdict;
  if (verdict.verdict === 'compromise' && sumSquares === leastWithRest(night)) {
    return { ...verdict, why: 'best with this rest' };
  }
  return verdict;
}

/** Least sum of squared meetings with as few back-to-backs as this night has in the heats to come. */
function leastWithRest(night: CountedNight): number {
  const backToBacks = figures.backToBacksIn(allHeats(night)) - figures.backToBacksIn(night.done);
  const least = opponentsGivenBackToBacks(night, backToBacks);
  const halves = backToBacks === 0 && 2 * (night.nextSizes[0] ?? 0) === night.nextRuns.length;
  // Half the field each: without back-to-backs the two halves take turns all night.
  return Math.max(least, halves ? (fixedGroupsSquares(night) ?? 0) : 0);
}

function judgeBackToBacks(night: CountedNight, { purpose }: Night, count: number, sumSquares: number): Criterion {
  const before = figures.backToBacksIn(night.done);
  const always = before + bounds.backToBackBound(night);
  const given = before + backToBacksGivenOpponents(night, sumSquares);
  return given > always
    ? judge(purpose, 'backToBack', count, given, 'opponents need it')
    : judge(purpose, 'backToBack', count, always, 'bound reached');
}

/**
 * A field of m heats of cars can wait m - 1 heats at most only if the same drivers meet all night; who meets more evenly
 * waits one heat longer.
 */
function judgeSitOut(night: CountedNight, { purpose }: Night, longest: number, sumSquares: number): Criterion {
  const bound = bounds.sitOutBound(night);
  const groups = fixedGroupsSquares(night);
  const turns = groups === null ? 0 : night.nextRuns.length / (night.nextSizes[0] ?? 1);
  return groups !== null && turns > 1 && bound === turns - 1 && sumSquares < groups
    ? judge(purpose, 'sitOut', longest, bound + 1, 'opponents need it')
    : judge(purpose, 'sitOut', longest, bound, 'bound reached');
}
