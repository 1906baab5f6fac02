import type { PaceFit, Starter } from '../../server/pace/pace-fit.ts';
import { planHeat } from '../../server/pace/planner.ts';
import { guardedPace, type SlowGuardOptions, shownPace } from '../../server/pace/slow-guard.ts';
import { starterOf } from '../../server/pace/starter-of.ts';
import type { Random } from '../../server/shared/random.ts';
import type { DriverTruth, Season } from './season.ts';
import { student } from './season-draws.ts';
import { drivenScore } from './season-drive.ts';

/** Heats with handicaps from a fit, driven by drivers as they truly are. */
const heatS = 150;

/** A driver at the next night, as the planner is told of him. */
export function guardedStarter(fit: PaceFit, driver: string, guard: SlowGuardOptions): Starter {
  const seat = { driver, carClass: 'GT', track: 'any', lane: 1, group: null };
  const starter = starterOf(fit, seat, (pace) => guardedPace(shownPace(pace, fit.components), guard).logPace);
  if (starter === null) throw new Error(`${driver} is not in the fit`);
  return starter;
}

/** Delays, in seconds, that the planner finds for starters. */
export function delaysFor(starters: readonly Starter[], seed: number): number[] {
  const { amounts } = planHeat({
    length: { kind: 'time', durationMs: 1000 * heatS },
    starters,
    mode: 'delay',
    dial: 1,
    cap: null,
    step: 100,
    byHand: starters.map(() => null),
    aroundHand: false,
    seed,
  });
  return amounts.map((ms) => ms / 1000);
}

/** True chances to win of drivers who all give their best, counted in heats of many nights. */
export function trueChances(
  random: Random,
  { shape }: Season,
  field: readonly DriverTruth[],
  delaysS: readonly number[],
  heats: number,
): number[] {
  const wins = field.map(() => 0);
  for (let h = 0; h < heats; h++) {
    const scores = field.map(({ nextNight, lapSd, crashChance, lossFactor }, i) => {
      const pace =
        (nextNight.get('GT') as number) +
        shape.formSd * student(random, 5) +
        shape.heatSd * student(random, 6) +
        shape.driverLaneSd * random.normal();
      return drivenScore(
        random,
        { pace, lapSd, crashChance, lossFactor, holdBack: () => 0 },
        heatS,
        delaysS[i] as number,
      );
    });
    const best = scores.indexOf(Math.max(...scores));
    wins[best] = (wins[best] as number) + 1;
  }
  return wins.map((count) => count / heats);
}
