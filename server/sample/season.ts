import type { HeatFormat } from '../heats/plan.ts';
import type { ClassKey, DriverKey, SampleWords, TrackName } from './club.ts';
import type { SetupDriver } from './setups.ts';

/** What happens in a heat beside racing. */
export type Incident =
  /** Power off and clock stopped: race time of the call and how long it takes. */
  | { readonly kind: 'call'; readonly raceMs: number; readonly lengthMs: number }
  /** The breaker trips: the heat is void and run again. */
  | { readonly kind: 'breaker'; readonly raceMs: number }
  /** Somebody moves off too soon. */
  | { readonly kind: 'false start'; readonly lane: number }
  /** A car stops for good. */
  | { readonly kind: 'retires'; readonly lane: number; readonly raceMs: number }
  /** A car is put back into the next slot for a lap. */
  | { readonly kind: 'wrong slot'; readonly lane: number }
  /** A marshal who was not there: hundredths of a lap for the entry that sits on this lane. */
  | { readonly kind: 'duty'; readonly lane: number; readonly hundredths: number };

export type RacePlan = {
  readonly name: keyof SampleWords['races'];
  readonly carClass: ClassKey;
  readonly format: HeatFormat;
  readonly drivers: readonly DriverKey[];
  readonly runsPerLane: number;
  readonly marshals: number;
  /** How much of the difference between drivers their start delays make up for, from 0 to 1. */
  readonly handicap: number;
};

export type EveningPlan = {
  readonly name: keyof SampleWords['evenings'];
  readonly track: TrackName;
  readonly weeksAgo: number;
  readonly races: readonly RacePlan[];
  readonly published: boolean;
  /** The director takes a deslot for a missed lap, and takes that back. */
  readonly mistaken: boolean;
  /** By number of the heat in the evening, from 1. */
  readonly incidents: Readonly<Record<number, Incident>>;
  /** A sensor that somebody knocked: it misses one crossing in so many. */
  readonly knocked: { readonly lane: number; readonly missesOneIn: number } | null;
  /** Versions of their profiles that drivers had dialled in, heat by heat of their own. */
  readonly setups: Partial<Record<SetupDriver, readonly number[]>>;
  /** Which of all evenings that could have been this one was; a whole number. */
  readonly drawn: number;
};

const adults = ['sprocket', 'walnut', 'comet', 'rhubarb', 'teaspoon', 'bramble', 'puffin', 'gumboot'] as const;

const forMinutes = (minutes: number): HeatFormat => ({ kind: 'time', durationMs: minutes * 60_000, firstTo: null });
const firstTo = (laps: number): HeatFormat => ({ kind: 'time', durationMs: null, firstTo: laps });

const race = { runsPerLane: 1, marshals: 3, handicap: 0 };
const quiet = { published: true, mistaken: false, incidents: {}, knocked: null, setups: {}, drawn: 0 };

/** The past season, the earliest evening first: one every second week. */
export const season: readonly EveningPlan[] = [
  {
    ...quiet,
    name: 'opening',
    drawn: 1,
    track: 'cellar',
    weeksAgo: 16,
    races: [{ ...race, name: 'touring', carClass: 'touring', format: forMinutes(3), drivers: [...adults, 'domino'] }],
    incidents: { 3: { kind: 'false start', lane: 2 } },
    setups: { walnut: [1, 1, 1, 1], comet: [1, 1, 1, 1], domino: [1, 1, 1, 1] },
  },
  {
    ...quiet,
    name: 'family',
    track: 'ring',
    weeksAgo: 14,
    races: [
      {
        ...race,
        name: 'family',
        carClass: 'house',
        format: firstTo(12),
        drivers: ['puffin', 'domino', 'gumboot', 'clover', 'radish', 'tadpole'],
        runsPerLane: 2,
        marshals: 1,
      },
    ],
    published: false,
  },
  {
    ...quiet,
    name: 'classics',
    track: 'cellar',
    weeksAgo: 12,
    races: [{ ...race, name: 'classics', carClass: 'classics', format: forMinutes(2.5), drivers: adults }],
    knocked: { lane: 1, missesOneIn: 22 },
  },
  {
    ...quiet,
    name: 'double',
    drawn: 32,
    track: 'cellar',
    weeksAgo: 10,
    races: [
      {
        ...race,
        name: 'touring',
        carClass: 'touring',
        format: forMinutes(2),
        drivers: ['walnut', 'bramble', 'sprocket', 'teaspoon', 'comet', 'puffin', 'rhubarb'],
      },
      {
        ...race,
        name: 'house',
        carClass: 'house',
        format: forMinutes(2),
        drivers: ['gumboot', 'radish', 'domino', 'clover', 'tadpole', 'puffin'],
      },
    ],
    mistaken: true,
    incidents: {
      4: { kind: 'duty', lane: 3, hundredths: -50 },
      10: { kind: 'call', raceMs: 71_000, lengthMs: 34_000 },
    },
    setups: { walnut: [1, 2, 2, 1], comet: [1, 2, 2, 1] },
  },
  {
    ...quiet,
    name: 'twenty',
    track: 'cellar',
    weeksAgo: 8,
    races: [
      {
        ...race,
        name: 'twenty',
        carClass: 'house',
        format: { kind: 'laps', laps: 20, limitMs: 300_000 },
        drivers: ['rhubarb', 'clover', 'comet', 'walnut', 'domino', 'puffin', 'sprocket', 'teaspoon'],
      },
    ],
  },
  {
    ...quiet,
    name: 'everybody',
    drawn: 11,
    track: 'cellar',
    weeksAgo: 6,
    races: [
      {
        ...race,
        name: 'touring',
        carClass: 'touring',
        format: forMinutes(3),
        drivers: [...adults, 'domino', 'clover', 'radish', 'tadpole'],
      },
    ],
    incidents: {
      2: { kind: 'wrong slot', lane: 2 },
      5: { kind: 'call', raceMs: 96_400, lengthMs: 41_000 },
      7: { kind: 'breaker', raceMs: 64_300 },
    },
    setups: { walnut: [2, 3, 3, 2], comet: [3, 3, 3, 3], domino: [2, 2, 2, 2] },
  },
  {
    ...quiet,
    name: 'handicap',
    track: 'ring',
    weeksAgo: 4,
    races: [
      {
        ...race,
        name: 'handicap',
        carClass: 'house',
        format: firstTo(10),
        drivers: ['tadpole', 'walnut', 'clover', 'bramble', 'radish'],
        runsPerLane: 2,
        marshals: 2,
        handicap: 0.9,
      },
    ],
    published: false,
  },
  {
    ...quiet,
    name: 'lastTime',
    track: 'cellar',
    weeksAgo: 2,
    races: [{ ...race, name: 'classics', carClass: 'classics', format: forMinutes(3), drivers: adults }],
    incidents: { 3: { kind: 'retires', lane: 4, raceMs: 128_000 } },
  },
];

/** The meeting of today: drawn, nothing armed. */
export const tonight: EveningPlan = {
  ...quiet,
  name: 'tonight',
  track: 'cellar',
  weeksAgo: 0,
  races: [
    {
      ...race,
      name: 'touring',
      carClass: 'touring',
      format: forMinutes(2.5),
      drivers: [
        'clover',
        'teaspoon',
        'sprocket',
        'bramble',
        'domino',
        'comet',
        'walnut',
        'gumboot',
        'rhubarb',
        'puffin',
      ],
    },
  ],
  published: false,
};
