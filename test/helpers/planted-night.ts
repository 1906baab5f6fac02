import type { Database } from '../../db/client.ts';
import { car, carClass, club, crossing, device, driver, entry, meeting, race } from '../../db/schema/index.ts';
import type { Decision, EventKind } from '../../server/heats/facts.ts';
import { insertHeatFact } from '../../server/heats/store.ts';
import { ring } from '../../server/live/notify.ts';
import { insertHeats, type NewHeat } from '../../server/rotation/store.ts';
import { nameKey } from '../../server/shared/names.ts';
import { bumpPlan, insertTrack, takeFactNumbers } from '../../server/tracks/store.ts';
import { laneDefaults } from '../../views/components/lane-defaults.ts';

/** What a planted night is made of; drivers are named, and their entries are `e1`, `e2`, … in this order. */
export type NightPlan = {
  slug?: string;
  lanes: number;
  drivers: readonly string[];
  /** For each heat the entry on each lane by its number (1 is `e1`, 0 leaves the lane empty) and who marshals. */
  heats: readonly { lanes: readonly number[]; marshals?: readonly number[]; delaysMs?: readonly number[] }[];
  race?: Partial<typeof race.$inferInsert>;
};

/** A meeting in the database to which facts can be added as sensors and people add them. */
export class PlantedNight {
  readonly clubId: string;
  readonly slug: string;
  readonly meetingId = 'm1';
  readonly trackId = 't1';
  #db: Database;
  #seq = 0;
  readonly #facts = new Map<string, number>();

  constructor(db: Database, slug: string) {
    this.#db = db;
    this.clubId = slug;
    this.slug = slug;
  }

  /** An address of the meeting's pages. */
  path(rest: string): string {
    return `/c/${this.slug}/meetings/${this.meetingId}/${rest}`;
  }

  /** Goes on over another connection: the server was started again. */
  use(db: Database): void {
    this.#db = db;
  }

  async press(heat: string, kind: EventKind, atUs: number): Promise<void> {
    await this.#append(heat, (n) => ({ n, kind, atUs, by: 'director' }));
  }

  async rule(heat: string, decision: Decision, atUs: number): Promise<void> {
    await this.#append(heat, (n) => ({ ...decision, n, why: '', by: 'director', atUs }));
  }

  /** The sensor of a lane was triggered; its clock is the server's. */
  async cross(...crossings: readonly (readonly [lane: number, atUs: number])[]): Promise<void> {
    await this.#store(crossings, false);
  }

  /** Crossings that reached the server after their heat was confirmed. */
  async crossLate(...crossings: readonly (readonly [lane: number, atUs: number])[]): Promise<void> {
    await this.#store(crossings, true);
  }

  async #store(crossings: readonly (readonly [lane: number, atUs: number])[], late: boolean): Promise<void> {
    const { clubId, trackId } = this;
    await this.#db.withClub(clubId, async (tx) => {
      const first = (await takeFactNumbers(tx, clubId, trackId, crossings.length)) ?? 0;
      await tx.insert(crossing).values(
        crossings.map(([lane, atUs], i) => {
          this.#seq += 1;
          const key = { clubId, trackId, deviceId: 's1', boot: 'b1', seq: this.#seq };
          return { ...key, lane, tUs: atUs, atUs, late, factNo: first + i };
        }),
      );
      await ring(tx, { clubId, trackId });
    });
  }

  async #append(heatId: string, make: (n: number) => Parameters<typeof insertHeatFact>[2]): Promise<void> {
    const { clubId, trackId, meetingId } = this;
    const n = (this.#facts.get(heatId) ?? 0) + 1;
    this.#facts.set(heatId, n);
    await this.#db.withClub(clubId, async (tx) => {
      const factNo = (await takeFactNumbers(tx, clubId, trackId, 1)) ?? 0;
      await insertHeatFact(tx, { clubId, trackId, meetingId, heatId, factNo }, make(n));
      await ring(tx, { clubId, trackId });
    });
  }
}

/** Plants a club with one meeting, drawn and ready to run. */
export async function plantNight(db: Database, plan: NightPlan): Promise<PlantedNight> {
  const slug = plan.slug ?? 'owls';
  const night = new PlantedNight(db, slug);
  const { clubId, trackId, meetingId } = night;
  const lanes = Array.from({ length: plan.lanes }, (_, i) => ({
    number: i + 1,
    lengthMm: 12_000,
    minLapUs: 2_000_000,
  }));
  await db.clubless.insert(club).values({ id: clubId, slug, name: 'Night Owls', zone: 'Europe/Vienna' });
  await db.withClub(clubId, async (tx) => {
    const settings = { startMode: 'ahead', holdRollUs: 2_000_000, endRollUs: 2_000_000 } as const;
    await insertTrack(
      tx,
      { clubId, id: trackId, name: 'Attic ring', ...settings },
      lanes.map((lane, i) => {
        const look = laneDefaults[i % laneDefaults.length];
        return { ...lane, colour: look?.colour ?? '#999999', pattern: look?.pattern ?? 'solid' };
      }),
    );
    await tx.insert(device).values({ clubId, trackId, id: 's1', kind: 'sensor', name: 'Gantry', bits: 64 });
    await tx.insert(carClass).values({ clubId, id: 'c1', name: 'Open' });
    await tx.insert(car).values({ clubId, id: 'car1', name: 'Blue coupé', classId: 'c1' });
    await tx.insert(meeting).values({
      clubId,
      id: meetingId,
      trackId,
      name: 'November night',
      date: '2026-11-13',
      zone: 'Europe/Vienna',
      trackName: 'Attic ring',
      trackSettings: { ...settings, lanes: lanes.map(({ number, ...lane }) => ({ lane: number, ...lane })) },
      joinCode: 'K7MPQ2',
      publicCode: `results-${slug}`,
    });
    await tx.insert(race).values({
      clubId,
      meetingId,
      id: 'r1',
      ordinal: 1,
      name: 'Open',
      classId: 'c1',
      format: 'time',
      durationMs: 180_000,
      missing: 'zero',
      standingFastest: false,
      heatsPerEntry: null,
      ...plan.race,
    });
    for (const [i, nickname] of plan.drivers.entries()) {
      const driverId = `d${i + 1}`;
      await tx.insert(driver).values({ clubId, id: driverId, nickname, nicknameKey: nameKey(nickname) });
      await tx.insert(entry).values({ clubId, meetingId, id: `e${i + 1}`, raceId: 'r1', ordinal: i + 1, driverId });
    }
    await insertHeats(tx, clubId, meetingId, plan.heats.map(heatRow));
    await bumpPlan(tx, clubId, trackId);
  });
  return night;
}

function heatRow({ lanes, marshals = [], delaysMs = [] }: NightPlan['heats'][number], i: number): NewHeat {
  return {
    id: `h${i + 1}`,
    raceId: 'r1',
    ordinal: i + 1,
    reruns: null,
    lanes: lanes.flatMap((who, at) =>
      who === 0 ? [] : [{ lane: at + 1, entryId: `e${who}`, delayMs: delaysMs[at] ?? 0 }],
    ),
    marshals: marshals.map((who) => `e${who}`),
  };
}
