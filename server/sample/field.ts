import type { HeatFormat, StartMode } from '../heats/plan.ts';
import { lapGoal, raceTimeLimitUs } from '../heats/plan.ts';
import type { Random } from '../shared/random.ts';

/** Somebody on a lane for one heat. */
export type Runner = {
  readonly lane: number;
  /** Clean lap on this lane tonight, in microseconds. */
  readonly lapUs: number;
  readonly scatter: number;
  readonly deslot: number;
  readonly reactionUs: number;
  /** Handicap start, in milliseconds of race time. */
  readonly delayMs: number;
  /** Race time at which the car gives up; null: it runs to the end. */
  readonly retiresUs: number | null;
  /** The car moves off before the start. */
  readonly jumps: boolean;
};

/** A track call: race time at which it comes, and how long it lasts. */
export type TrackCall = { readonly raceUs: number; readonly lengthUs: number };

export type RunPlan = {
  readonly start: StartMode;
  readonly format: HeatFormat;
  readonly runners: readonly Runner[];
  readonly call: TrackCall | null;
  /** Race time at which the director stops the heat, or null. */
  readonly stopUs: number | null;
};

/** A car went over the line, so long after the start. */
export type Pass = { readonly lane: number; readonly afterUs: number };

/** A heat as it was driven; instants count from its start, in microseconds. */
export type Run = {
  readonly passes: readonly Pass[];
  readonly endUs: number;
  /** By lane, hundredths of a lap after the last pass where the car came to rest; not of a car that has all its laps. */
  readonly parts: ReadonlyMap<number, number>;
};

/** A car before the line reaches it so long after it moved; one that waits behind it loses so much to speed up. */
const toLineUs = [180_000, 420_000] as const;
const speedUpUs = [350_000, 700_000] as const;
/** So long a car still rolls when the power goes, as a time at full speed. */
const rollUs = [40_000, 260_000] as const;
/** Rolling takes so many times as long as driving. */
const rollFactor = 1.5;

/**
 * Drives a heat: clean laps scatter round a driver's own, the first two are slower, mistakes cost a little and deslots a
 * walk of the marshal. Figures are common practice in the hobby, no source.
 *
 * @returns passes in order of time
 */
export function driveHeat(random: Random, plan: RunPlan): Run {
  const cars = plan.runners.map((runner) => new Car(random, plan, runner));
  const endRaceUs = endOf(plan, cars);
  const passes: Pass[] = [];
  const parts = new Map<number, number>();
  const wallUs = (raceUs: number) => raceUs + (plan.call && raceUs > plan.call.raceUs ? plan.call.lengthUs : 0);
  for (const car of cars) {
    const { lane } = car.runner;
    for (const { raceUs, rolledUs } of car.passedBy(endRaceUs)) {
      passes.push({ lane, afterUs: Math.round(wallUs(raceUs) + rolledUs) });
    }
    const { rolledOverUs, part } = car.comesToRest(random, endRaceUs);
    if (rolledOverUs !== null) passes.push({ lane, afterUs: Math.round(wallUs(endRaceUs) + rolledOverUs) });
    if (part !== null) parts.set(lane, part);
  }
  passes.sort((a, b) => a.afterUs - b.afterUs);
  return { passes, endUs: Math.round(wallUs(endRaceUs)), parts };
}

/** The race time at which the heat ends, as `HeatFormat` says, or at which it is stopped. */
function endOf({ format, stopUs }: RunPlan, cars: readonly Car[]): number {
  const goal = lapGoal(format);
  const goals =
    goal === null ? [] : cars.filter((car) => car.runner.retiresUs === null).map((car) => car.lapDone(goal));
  const byLaps = format.kind === 'laps' ? Math.max(...goals) : Math.min(...goals, Number.POSITIVE_INFINITY);
  return Math.min(byLaps, raceTimeLimitUs(format) ?? Number.POSITIVE_INFINITY, stopUs ?? Number.POSITIVE_INFINITY);
}

/** `rolledUs`: the power was off already, and the car rolled over the line so long after that. */
type TimedPass = { readonly raceUs: number; readonly rolledUs: number };

class Car {
  readonly runner: Runner;
  readonly #random: Random;
  readonly #plan: RunPlan;
  readonly #passes: TimedPass[] = [];
  /** Race time from which the next lap is driven. */
  #fromUs: number;
  #laps = 0;

  constructor(random: Random, plan: RunPlan, runner: Runner) {
    this.#random = random;
    this.#plan = plan;
    this.runner = runner;
    const greenUs = runner.delayMs * 1000;
    const wayUs = between(random, plan.start === 'ahead' ? toLineUs : speedUpUs);
    const reactionUs = runner.jumps
      ? -wayUs - between(random, [30_000, 200_000])
      : runner.reactionUs * wobble(random, 0.2);
    this.#fromUs = greenUs + reactionUs + wayUs;
    if (plan.start === 'ahead') this.#passes.push({ raceUs: this.#fromUs, rolledUs: 0 });
  }

  /** Race time at which lap `n` was complete. */
  lapDone(n: number): number {
    const at = this.#plan.start === 'ahead' ? n : n - 1;
    while (this.#passes.length <= at) this.#drive();
    return (this.#passes[at] as TimedPass).raceUs;
  }

  passedBy(endUs: number): TimedPass[] {
    while ((this.#passes.at(-1)?.raceUs ?? Number.NEGATIVE_INFINITY) <= endUs) this.#drive();
    const goal = lapGoal(this.#plan.format);
    // Whoever has all laps lifts off: the car does not come round again.
    const most = goal === null ? Number.POSITIVE_INFINITY : goal + (this.#plan.start === 'ahead' ? 1 : 0);
    return this.#passes.slice(0, most).filter(({ raceUs }) => raceUs <= Math.min(endUs, this.#restsUs()));
  }

  /** What the car still does when the power goes for good. */
  comesToRest(random: Random, endUs: number): { rolledOverUs: number | null; part: number | null } {
    const goal = lapGoal(this.#plan.format);
    if (goal !== null && this.lapDone(goal) <= endUs) return { rolledOverUs: null, part: null };
    const restsUs = Math.min(endUs, this.#restsUs());
    const last = this.#passes.findLast(({ raceUs }) => raceUs <= restsUs)?.raceUs ?? 0;
    const next = this.#passes.find(({ raceUs }) => raceUs > restsUs)?.raceUs ?? restsUs;
    const rolls = restsUs < endUs ? 0 : between(random, rollUs);
    const share = next > last ? (restsUs + rolls - last) / (next - last) : 0;
    if (share < 1) return { rolledOverUs: null, part: Math.floor(100 * share) };
    return {
      rolledOverUs: (next - restsUs) * rollFactor,
      part: Math.floor((100 * (restsUs + rolls - next)) / this.runner.lapUs),
    };
  }

  #restsUs(): number {
    return this.runner.retiresUs ?? Number.POSITIVE_INFINITY;
  }

  #drive(): void {
    this.#laps += 1;
    const passUs = this.#fromUs + this.#lapUs();
    const callUs = this.#plan.call?.raceUs ?? Number.POSITIVE_INFINITY;
    if (this.#fromUs > callUs || passUs <= callUs) {
      this.#passes.push({ raceUs: passUs, rolledUs: 0 });
      this.#fromUs = passUs;
    } else if (passUs - callUs <= between(this.#random, rollUs)) {
      // Over the line without power; the race clock stands at the call.
      this.#passes.push({ raceUs: callUs, rolledUs: (passUs - callUs) * rollFactor });
      this.#fromUs = callUs + 1 + between(this.#random, speedUpUs);
    } else {
      const resumedUs = passUs + between(this.#random, speedUpUs);
      this.#passes.push({ raceUs: resumedUs, rolledUs: 0 });
      this.#fromUs = resumedUs;
    }
  }

  #lapUs(): number {
    const { lapUs, scatter, deslot } = this.runner;
    const random = this.#random;
    const cold = this.#laps === 1 ? 1.035 : this.#laps === 2 ? 1.015 : 1;
    const mistake = random.unit() < 2 * deslot ? between(random, [0.03, 0.12]) : 0;
    return lapUs * cold * (wobble(random, scatter) + mistake) + (random.unit() < deslot ? deslotUs(random) : 0);
  }
}

/** A manned post puts a car back in 2.5 to 5 s; one time in six it takes longer. */
function deslotUs(random: Random): number {
  return random.unit() < 1 / 6 ? between(random, [6_000_000, 10_000_000]) : between(random, [2_500_000, 5_000_000]);
}

/** About 1: slow laps lie further from a driver's own than quick ones, as nobody is quicker than the track allows. */
function wobble(random: Random, deviation: number): number {
  const z = random.normal();
  return 1 + deviation * (z < 0 ? Math.max(-2.5, z) * 0.6 : Math.min(3, z));
}

function between(random: Random, [from, to]: readonly [number, number]): number {
  return from + (to - from) * random.unit();
}
