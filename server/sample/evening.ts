import type { ClockBitsOf, Crossing } from '../heats/facts.ts';
import {
  type Heat,
  type HeatLane,
  type JournalLine,
  type MeetingFacts,
  planOfHeat,
  type Race,
} from '../results/meeting-facts.ts';
import type { Random } from '../shared/random.ts';
import { type DriverKey, profiles, type SampleTrack, type SampleWords, tracks } from './club.ts';
import { deslotTakenForMiss, rulingsOn, type SeenHeat } from './director.ts';
import { driveHeat, type Run, type Runner } from './field.ts';
import { HeatJournal } from './heat-journal.ts';
import type { LineUp } from './line-up.ts';
import type { EveningPlan, Incident, RacePlan } from './season.ts';
import { type LineCrossing, type SensorPlan, sense } from './sensor.ts';
import { drivenVersions, setups } from './setups.ts';

const secondUs = 1_000_000;
/** A healthy sensor misses fewer than one in 500 (common practice, no source). */
const healthyMissesOneIn = 700;
/** Drivers are better on some evenings than on others. */
const formDeviation = 0.004;

/** When an evening begins, and its place in the season, from 0. */
export type When = { readonly startUs: number; readonly meeting: number };

/** Runs an evening: drives its heats and lets the director rule on them. The same randomness gives the same evening. */
export function runEvening(
  words: SampleWords,
  plan: EveningPlan,
  lineUp: LineUp,
  when: When,
  random: Random,
): MeetingFacts {
  return new Evening(words, plan, lineUp, when, random).run();
}

class Evening {
  readonly #words: SampleWords;
  readonly #plan: EveningPlan;
  readonly #lineUp: LineUp;
  readonly #random: Random;
  readonly #track: SampleTrack;
  readonly #sensor: Omit<SensorPlan, 'fromSeq'>;
  /** Lap time tonight as a multiple of the club's quickest driver's. */
  readonly #pace: ReadonlyMap<DriverKey, number>;
  /** What the dialled in version does to the car, by planned heat and entry. */
  readonly #setups: ReadonlyMap<string, { readonly pace: number; readonly deslot: number }>;
  readonly #heats: Heat[] = [];
  readonly #journal: JournalLine[] = [];
  readonly #crossings: Crossing[] = [];
  #nowUs: number;
  #mistaken = false;

  constructor(words: SampleWords, plan: EveningPlan, lineUp: LineUp, when: When, random: Random) {
    this.#words = words;
    this.#plan = plan;
    this.#lineUp = lineUp;
    this.#random = random;
    this.#track = tracks[plan.track];
    this.#nowUs = when.startUs + this.#seconds(420, 780);
    const { knocked } = plan;
    this.#sensor = {
      ...this.#track.sensor,
      boot: `evening-${when.meeting + 1}`,
      bootedUs: when.startUs - this.#seconds(600, 1_500),
      fastPpm: 18 + when.meeting,
      missesOneIn: (lane) => (lane === knocked?.lane ? knocked.missesOneIn : healthyMissesOneIn),
    };
    this.#setups = new Map(
      drivenVersions(plan, lineUp.facts).flatMap(({ heat, entry, driver, version }) => {
        const setup = setups[driver].versions[version - 1];
        return setup ? [[`${heat} ${entry}`, setup] as const] : [];
      }),
    );
    const drivers = new Set(lineUp.drivers.values());
    this.#pace = new Map(
      [...drivers].map((driver) => {
        const { pace, learns } = profiles[driver];
        return [driver, pace * (1 - learns * when.meeting) * (1 + formDeviation * random.normal())];
      }),
    );
  }

  run(): MeetingFacts {
    const planned = this.#lineUp.facts.heats;
    for (const [h, heat] of planned.entries()) {
      const incident = this.#plan.incidents[h + 1] ?? null;
      // Heats of a race that come after one run again are one place later.
      const again = this.#heats.filter((one) => one.race === heat.race && one.reruns !== null).length;
      const run = { ...heat, ordinal: heat.ordinal + again };
      this.#runHeat(run, incident);
      if (incident?.kind === 'breaker') {
        this.#runHeat({ ...run, id: `h${planned.length + 1}`, ordinal: run.ordinal + 1, reruns: heat.id }, null);
      }
      // Something to eat half-way.
      if (h + 1 === Math.ceil(planned.length / 2)) this.#nowUs += this.#seconds(600, 900);
    }
    return { ...this.#lineUp.facts, heats: this.#heats, journal: this.#journal, crossings: this.#crossings };
  }

  #runHeat(heat: Heat, incident: Incident | null): void {
    const race = this.#lineUp.facts.races.find(({ id }) => id === heat.race) as Race;
    const journal = new HeatJournal(this.#words.director);
    const armUs = this.#nowUs;
    journal.event('arm', armUs);
    const startUs = armUs + this.#seconds(25, 55);
    journal.event('start', startUs);

    const stopUs = incident?.kind === 'breaker' ? incident.raceMs * 1000 : null;
    const call =
      incident?.kind === 'call' ? { raceUs: incident.raceMs * 1000, lengthUs: incident.lengthMs * 1000 } : null;
    const runners = heat.lanes.map(({ lane, entry, delayMs }) =>
      this.#runner({ race, heat, incident }, { lane, entry, delayMs }),
    );
    const run = driveHeat(this.#random, { start: this.#track.start, format: race.format, runners, call, stopUs });
    const endUs = startUs + run.endUs;
    const cars = run.passes.map(({ lane, afterUs }) => ({ lane, atUs: startUs + afterUs }));
    const stray = incident?.kind === 'wrong slot' ? strayPass(cars, incident.lane) : null;
    if (stray !== null) cars[stray.index] = stray.car;
    // Before the first heat each car is pushed over the line: does the sensor see it?
    const check =
      this.#heats.length === 0 ? heat.lanes.map(({ lane }, i) => ({ lane, atUs: armUs + (6 + 3 * i) * secondUs })) : [];
    const { crossings, missed } = sense(this.#random, { ...this.#sensor, fromSeq: this.#crossings.length + 1 }, [
      ...check,
      ...cars,
    ]);

    if (call) {
      journal.event('hold', startUs + call.raceUs);
      journal.event('resume', startUs + call.raceUs + call.lengthUs);
    }
    if (incident?.kind === 'retires') {
      journal.ruling(
        { kind: 'retire', target: { lane: incident.lane } },
        this.#words.whys.motor,
        startUs + incident.raceMs * 1000,
      );
    }
    // Laps that end a heat, and a director who does, leave a stop behind.
    if (stopUs !== null || race.format.kind === 'laps' || race.format.firstTo !== null) journal.event('stop', endUs);
    this.#nowUs = endUs + this.#track.endRollUs + this.#seconds(8, 15);

    if (incident?.kind === 'breaker') {
      journal.ruling({ kind: 'void', target: {} }, this.#words.whys.breaker, this.#nowUs);
      this.#nowUs += this.#seconds(90, 150);
    } else {
      const seen: SeenHeat = {
        plan: planOfHeat(this.#lineUp.facts.track, race, heat),
        facts: { events: journal.events(), rulings: [], crossings },
        bitsOf: this.#bitsOf,
        untilUs: this.#nowUs,
        missed,
        strayed: stray?.car ?? null,
      };
      this.#judge(journal, seen, run, heat, incident);
      this.#nowUs += this.#changeoverUs();
    }
    this.#heats.push(heat);
    this.#journal.push(...journal.facts().map((fact) => ({ heat: heat.id, fact })));
    this.#crossings.push(...crossings);
  }

  #runner(
    { race, heat, incident }: { race: Race; heat: Heat; incident: Incident | null },
    { lane, entry, delayMs }: HeatLane,
  ): Runner {
    const driver = this.#lineUp.drivers.get(entry) as DriverKey;
    const { scatter, deslot, reactionUs } = profiles[driver];
    const { carClass } = this.#plan.races.find((_, r) => race.id === `r${r + 1}`) as RacePlan;
    const setup = this.#setups.get(`${heat.reruns ?? heat.id} ${entry}`) ?? { pace: 1, deslot: 1 };
    const lanePace = this.#track.lanes[lane - 1]?.pace ?? 1;
    // Grip comes in the first hour: 1 to 2 %.
    const grip = 1 + 0.015 * Math.max(0, 1 - this.#heats.length / 7);
    return {
      lane,
      lapUs: this.#track.lapUs[carClass] * (this.#pace.get(driver) ?? 1) * lanePace * grip * setup.pace,
      scatter,
      deslot: deslot * setup.deslot,
      reactionUs,
      delayMs,
      retiresUs: incident?.kind === 'retires' && incident.lane === lane ? incident.raceMs * 1000 : null,
      jumps: incident?.kind === 'false start' && incident.lane === lane,
    };
  }

  /** Part laps, rulings, and the heat is confirmed. */
  #judge(journal: HeatJournal, seen: SeenHeat, run: Run, heat: Heat, incident: Incident | null): void {
    const { whys } = this.#words;
    const next = () => {
      this.#nowUs += this.#seconds(2, 7);
      return this.#nowUs;
    };
    if (seen.plan.format.kind === 'time') {
      for (const { lane } of heat.lanes) {
        const value = run.parts.get(lane);
        if (value !== undefined) journal.ruling({ kind: 'part', target: { lane }, value }, whys.part, next());
      }
    }
    journal.event('finish', next());
    for (const { decision, why } of rulingsOn(seen, whys)) journal.ruling(decision, why, next());
    const mistake = this.#plan.mistaken && !this.#mistaken ? deslotTakenForMiss(seen) : null;
    if (mistake) {
      this.#mistaken = true;
      const n = journal.ruling(mistake, whys.mistaken, next());
      journal.ruling({ kind: 'undo', target: { n } }, whys.mistakenAfterAll, next() + 20 * secondUs);
      this.#nowUs += 20 * secondUs;
    }
    if (incident?.kind === 'duty') {
      const entry = heat.lanes.find(({ lane }) => lane === incident.lane)?.entry ?? '';
      journal.ruling({ kind: 'adjust', target: { entry }, value: incident.hundredths }, whys.duty, next());
    }
    journal.event('confirm', next());
  }

  readonly #bitsOf: ClockBitsOf = () => this.#track.sensor.bits;

  /** Cars stay on the ring's lanes and their drivers change; in the cellar everybody brings their own. */
  #changeoverUs(): number {
    return this.#plan.track === 'ring' ? this.#seconds(35, 60) : this.#seconds(80, 140);
  }

  #seconds(from: number, to: number): number {
    return Math.round((from + (to - from) * this.#random.unit()) * secondUs);
  }
}

/**
 * A pass of a car that is counted on the lane beside its own, as the car was put back into the wrong slot: one that falls
 * soon after a pass of that lane's own car, so that it looks like a bounce. Null where there is none.
 */
function strayPass(cars: readonly LineCrossing[], lane: number): { index: number; car: LineCrossing } | null {
  for (const [index, pass] of cars.entries()) {
    const laps = cars.slice(0, index).filter((car) => car.lane === lane).length;
    if (pass.lane !== lane || laps < 9) continue;
    for (const other of [lane + 1, lane - 1]) {
      const before = cars.findLast((car) => car.lane === other && car.atUs < pass.atUs);
      const sinceUs = pass.atUs - (before?.atUs ?? pass.atUs);
      if (sinceUs > 0.2 * secondUs && sinceUs < 4 * secondUs) return { index, car: { lane: other, atUs: pass.atUs } };
    }
  }
  return null;
}
