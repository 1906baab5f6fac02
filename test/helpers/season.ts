import type { DriverRow, LapRow } from '../../server/pace/lap-row.ts';
import { type Random, randomFrom } from '../../server/shared/random.ts';
import { centred, laplace, shuffled, student } from './season-draws.ts';
import { drivenHeat, type Timing } from './season-drive.ts';

/**
 * Seasons of an invented club, with the truth behind them. What happens is what a club sees: form of a night, heats better
 * and worse than others, juniors who learn, crashes that nobody noted, laps counted double or not at all. The shapes are on
 * purpose not those the model assumes, and none of its numbers was tuned on them: form and heats have Student's heavy
 * tails, the walk of ability is Laplace, learning follows a power of practice, grip changes with the square root of time
 * and not at the same rate every night, laps are skewed by a gamma number, losses are gamma with a few long ones, and some
 * flags stand on the lap after the crash.
 */
export interface SeasonShape extends Timing {
  readonly nights: number;
  readonly drivers: number;
  readonly juniorShare: number;
  readonly lanes: number;
  /** How often each lane is driven on a night, with each class. */
  readonly rounds: number;
  readonly classes: readonly string[];
  readonly heatS: number;
  /** Chance that a driver comes on a night; each has one of their own around it. */
  readonly attendance: number;
  readonly formSd: number;
  readonly heatSd: number;
  readonly driverLaneSd: number;
  readonly driverClassSd: number;
  readonly walkSd: number;
  readonly gripSd: number;
  readonly driftSd: number;
  /** Track calls a heat. */
  readonly calls: number;
  /** How much slower a driver drives on purpose: added to the log of a lap; 0 for honest laps. */
  readonly holdBack: (lap: HeldBack) => number;
}

export interface HeldBack {
  /** From 0. */
  readonly driver: number;
  /** Nights the driver still attends after this one. */
  readonly nightsLeft: number;
  readonly heat: number;
  readonly lap: number;
}

export const usualSeason: SeasonShape = {
  nights: 16,
  drivers: 22,
  juniorShare: 0.4,
  lanes: 5,
  rounds: 1,
  classes: ['GT'],
  heatS: 165,
  attendance: 0.72,
  formSd: 0.006,
  heatSd: 0.0072,
  driverLaneSd: 0.0035,
  driverClassSd: 0.018,
  walkSd: 0.0038,
  gripSd: 0.017,
  driftSd: 0.011,
  flagged: 0.62,
  misplacedFlags: 0.04,
  missedCounts: 0.003,
  doubleTriggers: 0.003,
  calls: 0.35,
  holdBack: () => 0,
};

export interface DriverTruth {
  readonly driver: string;
  readonly group: 'junior' | 'adult';
  /** Nights attended. */
  readonly nights: number;
  /** Log pace by class, of the level of a night without form, heat, lane and grip. */
  readonly nextNight: ReadonlyMap<string, number>;
  readonly crashChance: number;
  readonly lossFactor: number;
  readonly lapSd: number;
}

export interface Season {
  readonly laps: readonly LapRow[];
  readonly drivers: readonly DriverRow[];
  readonly truth: readonly DriverTruth[];
  /** Log effects; they add up to 0. */
  readonly lanes: readonly number[];
  readonly shape: SeasonShape;
}

export function seasonOf(seed: number, over: Partial<SeasonShape> = {}): Season {
  const shape: SeasonShape = { ...usualSeason, ...over };
  const random = randomFrom(seed);
  const lanes = centred(Array.from({ length: shape.lanes }, () => 0.007 * random.normal()));
  const people = Array.from({ length: shape.drivers }, (_, i) => personOf(random, shape, i));
  const laps: LapRow[] = [];
  for (let night = 1; night <= shape.nights; night++) {
    const here = people.filter((person) => person.comes[night - 1]);
    raceNight({ random, shape, lanes, night, laps }, shuffled(random, here));
    for (const person of here) person.attended++;
  }
  return {
    laps,
    drivers: people.map(({ driver, group }) => ({ driver, group, nightsBefore: 0 })),
    truth: people.map((person) => truthOf(random, shape, person)),
    lanes,
    shape,
  };
}

/** Seasons in which a driver's laps are all lost but the last `count`; nights attended are kept. */
export function withLastLaps<S extends Pick<Season, 'laps' | 'drivers'>>(season: S, driver: string, count: number): S {
  const own = season.laps.filter((lap) => lap.driver === driver);
  const kept = new Set(count === 0 ? [] : own.slice(-count));
  const firstNight = own.find((lap) => kept.has(lap))?.night ?? Number.POSITIVE_INFINITY;
  const lost = new Set(own.filter(({ night }) => night < firstNight).map(({ night }) => night)).size;
  return {
    ...season,
    laps: season.laps.filter((lap) => lap.driver !== driver || kept.has(lap)),
    drivers: season.drivers.map((row) =>
      row.driver === driver ? { ...row, nightsBefore: row.nightsBefore + lost } : row,
    ),
  };
}

/** The same laps without the flags that say a car left the slot. */
export const withoutCrashFlags = (laps: readonly LapRow[]): LapRow[] =>
  laps.map((lap) => (lap.flag === 'crash' ? { ...lap, flag: '' } : lap));

interface Person {
  readonly index: number;
  readonly driver: string;
  readonly group: 'junior' | 'adult';
  /** By night. */
  readonly comes: readonly boolean[];
  readonly byClass: ReadonlyMap<string, number>;
  readonly byLane: readonly number[];
  readonly learning: number;
  readonly learningPower: number;
  readonly lapSd: number;
  readonly crashChance: number;
  readonly lossFactor: number;
  ability: number;
  attended: number;
}

function personOf(random: Random, shape: SeasonShape, index: number): Person {
  const junior = index < Math.round(shape.drivers * shape.juniorShare);
  const attendance = Math.min(0.97, Math.max(0.4, shape.attendance + 0.12 * random.normal()));
  return {
    index,
    driver: `Driver ${index + 1}`,
    group: junior ? 'junior' : 'adult',
    comes: Array.from({ length: shape.nights }, () => random.unit() < attendance),
    byClass: new Map(shape.classes.map((name) => [name, shape.driverClassSd * random.normal()])),
    byLane: centred(Array.from({ length: shape.lanes }, () => shape.driverLaneSd * random.normal())),
    learning: junior ? 0.06 + 0.15 * random.unit() : 0,
    learningPower: 0.35 + 0.5 * random.unit(),
    lapSd: Math.exp(Math.log(0.019) + random.unit() * Math.log(0.033 / 0.019)),
    crashChance: Math.min(0.19, Math.max(0.004, (junior ? 0.06 : 0.021) * Math.exp(0.6 * random.normal()))),
    lossFactor: Math.exp(0.15 * random.normal()),
    ability: (junior ? 1.86 : 1.76) + 0.055 * random.normal(),
    attended: 0,
  };
}

/** Level of a driver on the night to come; learning is gained with a power of the nights attended. */
function levelOf(person: Person): ReadonlyMap<string, number> {
  const toLearn = person.learning * (1 + person.attended / 2) ** -person.learningPower;
  return new Map([...person.byClass].map(([name, own]) => [name, person.ability + own + toLearn]));
}

function truthOf(random: Random, shape: SeasonShape, person: Person): DriverTruth {
  walk(random, shape, person);
  const { driver, group, attended, crashChance, lossFactor, lapSd } = person;
  return { driver, group, nights: attended, nextNight: levelOf(person), crashChance, lossFactor, lapSd };
}

function walk(random: Random, shape: SeasonShape, person: Person) {
  if (person.attended > 0) person.ability += (shape.walkSd / Math.SQRT2) * laplace(random);
}

interface Evening {
  readonly random: Random;
  readonly shape: SeasonShape;
  readonly lanes: readonly number[];
  readonly night: number;
  readonly laps: LapRow[];
}

/** Every driver drives every lane as often, with every class. */
function raceNight(evening: Evening, here: readonly Person[]) {
  const { random, shape } = evening;
  const grip = shape.gripSd * random.normal();
  const drift = 0.012 + shape.driftSd * random.normal();
  const levels = new Map(here.map((person) => [person, tonight(random, shape, person)]));
  let heat = 0;
  for (const carClass of shape.classes) {
    for (let h = 0; h < shape.rounds * here.length; h++) {
      const startS = heat * (shape.heatS + 75);
      heat++;
      const gripNow = grip - drift * Math.sqrt(startS / 9000);
      const callAt = random.unit() < shape.calls ? shape.heatS * random.unit() : null;
      for (let lane = 1; lane <= Math.min(shape.lanes, here.length); lane++) {
        // Next to each other on the list stand drivers who meet in every heat; so the list is strided.
        const person = here[(h + stride(here.length) * lane) % here.length] as Person;
        const level = levels.get(person)?.get(carClass) as number;
        const pace = level + gripNow + (evening.lanes[lane - 1] as number) + shape.heatSd * student(random, 6);
        driveHeat(evening, person, { heat, startS, lane, carClass, pace, callAt });
      }
    }
  }
}

/** Three, or the next number that shares no divisor with the field: then nobody stands on two lanes of a heat. */
function stride(field: number): number {
  const divisor = (a: number, b: number): number => (b === 0 ? a : divisor(b, a % b));
  let step = 3;
  while (divisor(step, field) !== 1) step++;
  return step;
}

/** Level of the night with its form, half of which is the same in all classes. */
function tonight(random: Random, shape: SeasonShape, person: Person): ReadonlyMap<string, number> {
  walk(random, shape, person);
  const shared = student(random, 5);
  const form = () => (shape.formSd * (shared + student(random, 5))) / Math.SQRT2;
  return new Map([...levelOf(person)].map(([name, level]) => [name, level + form()]));
}

interface Drive {
  readonly heat: number;
  readonly startS: number;
  readonly lane: number;
  readonly carClass: string;
  readonly pace: number;
  readonly callAt: number | null;
}

function driveHeat({ random, shape, night, laps }: Evening, person: Person, drive: Drive) {
  const { heat, startS, lane, carClass, callAt } = drive;
  const { lapSd, crashChance, lossFactor, index } = person;
  const nightsLeft = person.comes.slice(night).filter(Boolean).length;
  const holdBack = (lap: number) => shape.holdBack({ driver: index, nightsLeft, heat, lap });
  const pace = drive.pace + (person.byLane[lane - 1] as number);
  const driving = { pace, lapSd, crashChance, lossFactor, holdBack };
  const row = { night, heat: String(heat), startS, track: 'T', lane, driver: person.driver, carClass };
  for (const [i, { timeS, flag }] of drivenHeat(random, driving, { heatS: shape.heatS, callAt }, shape).entries())
    laps.push({ ...row, lap: i + 1, timeS: Math.round(1000 * timeS) / 1000, flag });
}
