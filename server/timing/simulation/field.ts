import { type Random, randomFrom } from '../../shared/random.ts';

/**
 * A field of cars that never was: it triggers the sensors of a track as people and cars do. All figures are common
 * practice in the hobby, no source. Instants and spans are microseconds on one clock of the simulation; a seed gives the
 * same triggers however often and in whatever steps they are asked for.
 */

/** What tells drivers apart. */
type Skill = {
  /** Lap time as a multiple of the quickest driver's. */
  readonly pace: number;
  /** Standard deviation of clean laps, as a part of the lap. */
  readonly scatter: number;
  /** Chance of a deslot in a lap. */
  readonly crashes: number;
};

export const skills: readonly Skill[] = [
  { pace: 1, scatter: 0.012, crashes: 0.005 }, // expert
  { pace: 1.06, scatter: 0.025, crashes: 0.025 }, // club driver
  { pace: 1.2, scatter: 0.04, crashes: 0.085 }, // novice
  { pace: 1.6, scatter: 0.075, crashes: 0.175 }, // child of six
];

export type FieldOptions = {
  /** Numbers of the lanes with a car on them. */
  readonly lanes: readonly number[];
  /** Clean lap of the quickest driver on the quickest lane. */
  readonly lapUs: number;
  /** Chance that a crossing triggers its sensor again at once. */
  readonly bounces: number;
  /** Chance that a crossing triggers nothing. */
  readonly misses: number;
  /** Chance of a deslot in a lap, the same for all; null: as skilled as each driver is. */
  readonly crashes: number | null;
};

/** A sensor was triggered. */
export type Trigger = { readonly lane: number; readonly atUs: number };

const ms = 1_000;
const second = 1_000_000;

export class Field {
  readonly #cars: readonly Car[];

  constructor(options: FieldOptions, seed: number) {
    this.#cars = options.lanes.map((lane, i) => new Car(lane, options, i, randomFrom(seed * 1_000 + lane)));
  }

  /** Power on, cars stand before the line. */
  start(atUs: number): void {
    for (const car of this.#cars) car.start(atUs);
  }

  /** Power off: cars roll out, some of them over the line. */
  hold(atUs: number): void {
    for (const car of this.#cars) car.hold(atUs);
  }

  /** Power on, cars go on from where they stand. */
  resume(atUs: number): void {
    for (const car of this.#cars) car.resume(atUs);
  }

  /** The triggers since the last call and before `untilUs`, in order of time. */
  triggersUntil(untilUs: number): Trigger[] {
    return this.#cars.flatMap((car) => car.triggersUntil(untilUs)).sort((a, b) => a.atUs - b.atUs || a.lane - b.lane);
  }
}

class Car {
  readonly lane: number;
  readonly #options: FieldOptions;
  readonly #skill: Skill;
  readonly #lapUs: number;
  readonly #random: Random;
  /** When it reaches the line next; null while it stands. */
  #dueUs: number | null = null;
  /** What is left of the lap, in time, while it stands on the way. */
  #leftUs = 0;
  #laps = 0;
  /** Triggers of a crossing that are still to come. */
  #coming: Trigger[] = [];

  constructor(lane: number, options: FieldOptions, place: number, random: Random) {
    this.lane = lane;
    this.#options = options;
    this.#random = random;
    this.#skill = skills[place % skills.length] as Skill;
    // The slowest lane of a track is 1 to 4 % slower than the quickest.
    this.#lapUs = options.lapUs * this.#skill.pace * this.#between(1, 1.03);
  }

  start(atUs: number): void {
    this.#laps = 0;
    this.#leftUs = this.#options.lapUs * this.#between(0.05, 0.15);
    this.resume(atUs);
  }

  resume(atUs: number): void {
    // Reaction to the start, adults and children.
    if (this.#dueUs === null) this.#dueUs = atUs + this.#leftUs + this.#between(0.2, 0.6) * second;
  }

  hold(atUs: number): void {
    this.#drive(atUs);
    if (this.#dueUs === null) return;
    const leftUs = Math.max(0, this.#dueUs - atUs);
    this.#dueUs = null;
    // It loses speed as it rolls, so it needs longer for the rest of its way; without power 0.3 to 1 s.
    if (leftUs * 1.5 < this.#between(0.3, 1) * second) {
      this.#cross(atUs + leftUs * 1.5);
      this.#leftUs = this.#lapTimeUs();
    } else {
      this.#leftUs = leftUs;
    }
  }

  triggersUntil(untilUs: number): Trigger[] {
    this.#drive(untilUs);
    const due = this.#coming.filter(({ atUs }) => atUs < untilUs);
    this.#coming = this.#coming.filter(({ atUs }) => atUs >= untilUs);
    return due;
  }

  #drive(untilUs: number): void {
    while (this.#dueUs !== null && this.#dueUs < untilUs) {
      this.#cross(this.#dueUs);
      this.#dueUs += this.#lapTimeUs();
    }
  }

  #cross(atUs: number): void {
    const seen = this.#random.unit() >= this.#options.misses;
    const again = this.#random.unit() < this.#options.bounces;
    if (!seen) return;
    this.#coming.push({ lane: this.lane, atUs: Math.round(atUs) });
    // Contact bounce: 1 to 30 ms.
    if (again) this.#coming.push({ lane: this.lane, atUs: Math.round(atUs + this.#between(1, 30) * ms) });
  }

  #lapTimeUs(): number {
    this.#laps += 1;
    // Cold tyres: the first laps are 2 to 4 % slower.
    const cold = this.#laps <= 2 ? this.#between(1.02, 1.04) : 1;
    const clean = this.#lapUs * cold * Math.max(0.9, 1 + this.#skill.scatter * this.#random.normal());
    const crashed = this.#random.unit() < (this.#options.crashes ?? this.#skill.crashes);
    // Put back by the marshal of a near post or of a far one.
    return clean + (crashed ? this.#between(2.5, 10) * second : 0);
  }

  #between(low: number, high: number): number {
    return low + (high - low) * this.#random.unit();
  }
}
