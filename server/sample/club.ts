import type { sample } from '../../views/texts/en/sample.ts';
import type { ClockBits } from '../heats/facts.ts';
import type { StartMode } from '../heats/plan.ts';

/**
 * The invented club: who drives how, on which tracks, in which cars. Lap times, scatter and deslots follow common
 * practice in the hobby, no published source.
 */

export type SampleWords = typeof sample;
export type DriverKey = keyof SampleWords['drivers'];
export type TrackName = keyof SampleWords['tracks'];
export type ClassKey = keyof SampleWords['classes'];

/** How somebody drives. */
export type Profile = {
  /** Lap time as a multiple of the club's quickest driver's. */
  readonly pace: number;
  /** Standard deviation of clean laps, as a part of the lap. */
  readonly scatter: number;
  /** Chance of leaving the slot in a lap. */
  readonly deslot: number;
  /** Time from the start to a moving car, in microseconds. */
  readonly reactionUs: number;
  /** How much quicker than at the meeting before, as a part of the lap: children learn. */
  readonly learns: number;
  /** Whether the nickname may stand on public pages. */
  readonly public: boolean;
};

const adult = { reactionUs: 260_000, learns: 0, public: true };
const child = { reactionUs: 420_000, public: true };

/** In the order in which they joined the club; the last four are 12, 10, 8 and 6 years old. */
export const profiles: Readonly<Record<DriverKey, Profile>> = {
  sprocket: { ...adult, pace: 1, scatter: 0.011, deslot: 0.006 },
  walnut: { ...adult, pace: 1.014, scatter: 0.009, deslot: 0.004 },
  comet: { ...adult, pace: 0.998, scatter: 0.022, deslot: 0.034 },
  rhubarb: { ...adult, pace: 1.016, scatter: 0.014, deslot: 0.012 },
  teaspoon: { ...adult, pace: 1.04, scatter: 0.021, deslot: 0.015 },
  bramble: { ...adult, pace: 1.046, scatter: 0.024, deslot: 0.02 },
  puffin: { ...adult, pace: 1.062, scatter: 0.026, deslot: 0.024 },
  gumboot: { ...adult, pace: 1.11, scatter: 0.034, deslot: 0.055 },
  domino: { ...child, pace: 1.085, scatter: 0.034, deslot: 0.045, learns: 0.008 },
  clover: { ...child, pace: 1.15, scatter: 0.05, deslot: 0.06, learns: 0.008 },
  radish: { ...child, pace: 1.27, scatter: 0.055, deslot: 0.08, learns: 0.01, public: false },
  tadpole: { ...child, pace: 1.5, scatter: 0.07, deslot: 0.11, learns: 0.012 },
};

export type SampleTrack = {
  readonly start: StartMode;
  readonly holdRollUs: number;
  readonly endRollUs: number;
  readonly lanes: readonly {
    readonly lengthMm: number;
    readonly minLapUs: number;
    readonly colour: string;
    readonly pattern: string;
    /** Lap time as a multiple of the quickest lane's. */
    readonly pace: number;
  }[];
  /** Lap of the club's quickest driver on the quickest lane, by class, in microseconds. */
  readonly lapUs: Readonly<Record<ClassKey, number>>;
  readonly sensor: { readonly id: string; readonly bits: ClockBits };
};

const cellarMinLapUs = 4_700_000;
const ringMinLapUs = 2_800_000;

export const tracks: Readonly<Record<TrackName, SampleTrack>> = {
  cellar: {
    start: 'ahead',
    holdRollUs: 2_000_000,
    endRollUs: 2_000_000,
    lanes: [
      { lengthMm: 14_180, minLapUs: cellarMinLapUs, colour: '#d62839', pattern: 'diagonal-down', pace: 1.019 },
      { lengthMm: 14_320, minLapUs: cellarMinLapUs, colour: '#ffffff', pattern: 'solid', pace: 1.005 },
      { lengthMm: 14_460, minLapUs: cellarMinLapUs, colour: '#1c6dd0', pattern: 'diagonal-up', pace: 1 },
      { lengthMm: 14_600, minLapUs: cellarMinLapUs, colour: '#f2c230', pattern: 'dots', pace: 1.01 },
    ],
    lapUs: { touring: 6_850_000, classics: 7_640_000, house: 7_310_000 },
    sensor: { id: 'gantry', bits: 64 },
  },
  ring: {
    start: 'behind',
    holdRollUs: 5_000_000,
    endRollUs: 2_000_000,
    lanes: [
      { lengthMm: 6_240, minLapUs: ringMinLapUs, colour: '#2a9d4b', pattern: 'vertical', pace: 1.014 },
      { lengthMm: 6_480, minLapUs: ringMinLapUs, colour: '#e67e22', pattern: 'horizontal', pace: 1 },
    ],
    lapUs: { touring: 3_980_000, classics: 4_350_000, house: 4_120_000 },
    sensor: { id: 'gate', bits: 32 },
  },
};

export const driverKeys = Object.keys(profiles) as readonly DriverKey[];
