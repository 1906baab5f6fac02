import { defaultTuning, type Profile, type Tuning } from '../profiles/model/profile.ts';
import type { MeetingFacts } from '../results/meeting-facts.ts';
import type { ClassKey, DriverKey, SampleWords } from './club.ts';
import type { EveningPlan } from './season.ts';

/** The controller profiles that drivers of the sample club keep, and what each version really does on the track. */

/** One saved state of a profile. */
export interface SetupVersion {
  readonly tuning: Partial<Tuning>;
  /** Lap time as a multiple of the driver's usual one. */
  readonly pace: number;
  /** Deslots as a multiple of the driver's usual ones. */
  readonly deslot: number;
  /** The evening after which it was saved; null: before the season. */
  readonly after: EveningPlan['name'] | null;
  /** The version gone back to, from 1; null where settings were changed by hand. */
  readonly backTo: number | null;
}

export interface DriverSetups {
  readonly carClass: ClassKey;
  readonly versions: readonly SetupVersion[];
}

export type SetupDriver = keyof SampleWords['setups'] & DriverKey;

const first: SetupVersion = { tuning: {}, pace: 1, deslot: 1, after: null, backTo: null };

const walnutsSecond: Partial<Tuning> = { minDrive: 110, curve: { kind: 'shape', shape: -20 }, brakeFull: 800 };

export const setups: Readonly<Record<SetupDriver, DriverSetups>> = {
  walnut: {
    carClass: 'touring',
    versions: [
      { ...first, tuning: { minDrive: 90 }, pace: 1.022 },
      { ...first, tuning: walnutsSecond, pace: 0.992, deslot: 0.8, after: 'opening' },
      // Felt calmer, and did nothing for the laps.
      { ...first, tuning: { ...walnutsSecond, rampUpMs: 80 }, pace: 0.992, deslot: 0.8, after: 'twenty' },
    ],
  },
  comet: {
    carClass: 'touring',
    versions: [
      { ...first, tuning: { minDrive: 120, curve: { kind: 'shape', shape: 30 } } },
      {
        ...first,
        tuning: { minDrive: 160, curve: { kind: 'shape', shape: 70 }, pwmHz: 800 },
        pace: 1.028,
        deslot: 1.5,
        after: 'opening',
      },
      { ...first, tuning: { minDrive: 120, curve: { kind: 'shape', shape: 30 } }, after: 'double', backTo: 1 },
    ],
  },
  domino: {
    carClass: 'touring',
    versions: [
      { ...first, tuning: { maxDrive: 700, rampUpMs: 150 } },
      { ...first, tuning: { maxDrive: 820, rampUpMs: 100 }, pace: 0.985, after: 'opening' },
    ],
  },
};

export const setupDrivers = Object.keys(setups) as readonly SetupDriver[];

/** The whole settings of a version, from 1. */
export function setupOf(words: SampleWords, driver: SetupDriver, version: number): Profile {
  const tuning = setups[driver].versions[version - 1]?.tuning ?? {};
  return { name: words.setups[driver].name, ...defaultTuning, ...tuning };
}

/** The version that an entry had dialled in in a heat, and whose. */
export interface DrivenVersion {
  readonly heat: string;
  readonly entry: string;
  readonly driver: SetupDriver;
  readonly version: number;
}

/**
 * The versions of an evening, from the first heat of each driver on as the plan lists them; a heat that is run again has
 * those of the void one.
 */
export function drivenVersions(plan: EveningPlan, { heats, entries }: MeetingFacts): DrivenVersion[] {
  const planned = heats.filter(({ reruns }) => reruns === null);
  return setupDrivers.flatMap((driver) => {
    const versions = plan.setups[driver] ?? [];
    const own = new Set(entries.filter((entry) => entry.driver === driver).map(({ id }) => id));
    const seats = planned.flatMap(({ id, lanes }) => {
      const seat = lanes.find(({ entry }) => own.has(entry));
      return seat ? [{ heat: id, entry: seat.entry }] : [];
    });
    return seats.flatMap((seat, i) => {
      const version = versions[i];
      if (version === undefined) return [];
      const again = heats.filter(({ reruns }) => reruns === seat.heat).map(({ id }) => ({ ...seat, heat: id }));
      return [seat, ...again].map((one) => ({ ...one, driver, version }));
    });
  });
}
