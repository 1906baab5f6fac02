import type { Entry } from '../meetings/store.ts';
import type { NightPlan } from './night-plan-store.ts';
import type { ToldLane } from './told.ts';

/** What a race's handicap comes to for one driver, in the next heat that he drives in. */
export type DriverHandicap = {
  entry: Entry;
  /** Number of that heat on the plan; null where none is to come. */
  heat: number | null;
  /** Null as long as it is being worked out. */
  told: ToldLane | null;
  /** No lap is known. */
  unknown: boolean;
  /** No lap is known, and nobody said whether there were races before. */
  askedNothing: boolean;
};

export type HandicapView = {
  drivers: DriverHandicap[];
  /** Heats to come whose handicaps are being worked out. */
  pending: number;
  /** The club has no fit of earlier nights. */
  noHistory: boolean;
};

type Plan = {
  entries: readonly Entry[];
  race: { id: string };
  heats: readonly { id: string; lanes: readonly { entryId: string }[] }[];
};

/**
 * What the settings page shows of a race.
 *
 * @param night null while the race has no handicap
 */
export function handicapView({ entries, race, heats }: Plan, night: NightPlan | null): HandicapView {
  const toCome = night?.heats.filter((one) => one.race.id === race.id) ?? [];
  const drivers = entries
    .filter(({ withdrawnAt }) => withdrawnAt === null)
    .map((entry): DriverHandicap => {
      const next = toCome.find(({ heat }) => heat.lanes.some(({ entryId }) => entryId === entry.id));
      const isFresh = next?.told?.inputs === next?.inputs;
      const told = isFresh ? next?.told?.lanes.find(({ entryId }) => entryId === entry.id) : undefined;
      const unknown = night?.unknown.has(entry.driverId) ?? false;
      const driver = night?.drivers.get(entry.driverId);
      return {
        entry,
        heat: next ? heats.findIndex(({ id }) => id === next.heat.id) + 1 : null,
        told: told ?? null,
        unknown,
        askedNothing: unknown && (driver?.nightsBefore ?? 0) === 0 && (driver?.group ?? null) === null,
      };
    });
  const pending = toCome.filter(({ told, inputs }) => told?.inputs !== inputs).length;
  return { drivers, pending, noHistory: night !== null && night.fitN === null };
}
