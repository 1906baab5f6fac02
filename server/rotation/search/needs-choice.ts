import { NightCost } from './needs-cost.ts';
import type { NightHeats } from './needs-heats.ts';
import { nightWith } from './needs-start.ts';
import { weightsOfNight } from './needs-weights.ts';
import type { DrawTask, Seats } from './task.ts';

/** What two sets of heats are compared by, see `betterChoice`. */
export interface Choice {
  readonly seats: Seats;
  /** Squared meetings and back-to-back runs of the whole night, with their weights. */
  readonly main: number;
  /** Announced runs that are not where they were announced. */
  readonly changedSeats: number;
}

/**
 * Whether one set of heats is to be preferred to another where heats were announced.
 *
 * A plan that people have read is worth something: only a gain in the two criteria that weigh most, who meets whom and
 * heats straight after one another, may turn it round. Where these are alike the plan with fewer changed seats wins,
 * whatever neighbours, take-overs and time of night say; and where those are alike too, the whole objective decides.
 */
export function betterChoice(task: DrawTask, one: Choice, other: Choice): boolean {
  if (one.main !== other.main) return one.main < other.main;
  if (one.changedSeats !== other.changedSeats) return one.changedSeats < other.changedSeats;
  return objective(task, one.seats) < objective(task, other.seats);
}

/** Heats with what they are compared by, counted anew. */
export function choiceOf(task: DrawTask, seats: Seats): Choice {
  const night = nightWith(task, seats);
  const { pairs, backToBack } = weightsOfNight(task);
  const main = pairs * squaredMeetings(night) + backToBack * backToBacks(night);
  const announced = task.published
    .slice(0, task.heats)
    .flatMap((row, h) =>
      row.slice(0, night.lanes).filter((driver, l) => driver >= 0 && driver !== seats[h * night.lanes + l]),
    );
  return { seats, main, changedSeats: announced.length };
}

function objective(task: DrawTask, seats: Seats): number {
  return new NightCost(nightWith(task, seats), task).startCost;
}

function squaredMeetings(night: NightHeats): number {
  const met = new Int16Array(night.drivers * night.drivers);
  let squares = 0;
  for (let h = 0; h < night.heats; h += 1) {
    const inHeat = driversIn(night, h);
    for (const [k, i] of inHeat.entries()) {
      for (const j of inHeat.slice(k + 1)) {
        const before = met[i * night.drivers + j] as number;
        met[i * night.drivers + j] = before + 1;
        squares += 2 * before + 1;
      }
    }
  }
  return squares;
}

function backToBacks(night: NightHeats): number {
  let count = 0;
  for (let h = 1; h < night.heats; h += 1) {
    for (const driver of driversIn(night, h)) if (night.laneOf(driver, h - 1) >= 0) count += 1;
  }
  return count;
}

/** Who runs in a heat, on whatever lane, in rising order. */
function driversIn(night: NightHeats, heat: number): number[] {
  const inHeat: number[] = [];
  for (let d = 0; d < night.drivers; d += 1) if (night.laneOf(d, heat) >= 0) inHeat.push(d);
  return inHeat;
}
