import { and, asc, desc, eq, gt } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { type HeatEventRow, heatEvent, lap } from '../../db/schema/index.ts';
import { eventKinds, type HeatEvent, type Ruling } from './facts.ts';
import type { Lap } from './laps.ts';

/** A fact of a heat with the heat it belongs to and its number on the track. */
export type StoredFact = { heatId: string; factNo: number; fact: HeatEvent | Ruling };

/** An arm on a track: from its instant on, crossings belong to its heat. */
export type StoredArm = { meetingId: string; heatId: string; atUs: number; factNo: number };

function toFact(row: HeatEventRow): StoredFact {
  const { heatId, factNo, n, kind, atUs, by } = row;
  if ((eventKinds as readonly string[]).includes(kind)) {
    return { heatId, factNo, fact: { n, kind, atUs, by } as HeatEvent };
  }
  const ruling = {
    n,
    kind,
    atUs,
    by,
    why: row.why ?? '',
    target: JSON.parse(row.target ?? '{}') as unknown,
    ...(row.value === null ? {} : { value: JSON.parse(row.value) as unknown }),
  };
  // Only `toRow` writes these columns, from values that were rulings already.
  return { heatId, factNo, fact: ruling as Ruling };
}

/** Where a fact goes, and its number on the track. */
export type FactPlace = { clubId: string; trackId: string; meetingId: string; heatId: string; factNo: number };

/** Appends one event or ruling. The caller holds the track's lock and took the number from it. */
export async function insertHeatFact(tx: ClubTx, place: FactPlace, fact: HeatEvent | Ruling): Promise<void> {
  await insertHeatFacts(tx, [{ place, fact }]);
}

/** Appends several facts; see {@link insertHeatFact}. */
export async function insertHeatFacts(
  tx: ClubTx,
  facts: readonly { place: FactPlace; fact: HeatEvent | Ruling }[],
): Promise<void> {
  if (facts.length === 0) return;
  await tx.insert(heatEvent).values(
    facts.map(({ place, fact }) => ({
      ...place,
      n: fact.n,
      kind: fact.kind,
      atUs: fact.atUs,
      by: fact.by,
      target: 'target' in fact ? JSON.stringify(fact.target) : null,
      value: 'value' in fact ? JSON.stringify(fact.value) : null,
      why: 'why' in fact ? fact.why : null,
    })),
  );
}

/** All facts of a meeting's heats, by heat and number. */
export async function selectMeetingFacts(tx: ClubTx, clubId: string, meetingId: string): Promise<StoredFact[]> {
  const rows = await tx
    .select()
    .from(heatEvent)
    .where(and(eq(heatEvent.clubId, clubId), eq(heatEvent.meetingId, meetingId)))
    .orderBy(asc(heatEvent.heatId), asc(heatEvent.n));
  return rows.map(toFact);
}

/** The facts of one heat, by number. */
export async function selectHeatFacts(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  heatId: string,
): Promise<StoredFact[]> {
  const rows = await tx
    .select()
    .from(heatEvent)
    .where(and(eq(heatEvent.clubId, clubId), eq(heatEvent.meetingId, meetingId), eq(heatEvent.heatId, heatId)))
    .orderBy(asc(heatEvent.n));
  return rows.map(toFact);
}

/** The facts of all heats on a track whose number is above `factNo`, in the order they were written. */
export async function selectTrackFactsAfter(
  tx: ClubTx,
  clubId: string,
  trackId: string,
  factNo: number,
): Promise<(StoredFact & { meetingId: string })[]> {
  const rows = await tx
    .select()
    .from(heatEvent)
    .where(and(eq(heatEvent.clubId, clubId), eq(heatEvent.trackId, trackId), gt(heatEvent.factNo, factNo)))
    .orderBy(asc(heatEvent.factNo));
  return rows.map((row) => ({ meetingId: row.meetingId, ...toFact(row) }));
}

const { meetingId, heatId, atUs, factNo } = heatEvent;
const arm = { meetingId, heatId, atUs, factNo };
const isArmOn = (clubId: string, trackId: string) =>
  and(eq(heatEvent.clubId, clubId), eq(heatEvent.trackId, trackId), eq(heatEvent.kind, 'arm'));

/** Every arm on a track, of all meetings, in order of instant and then of writing. */
export async function selectArms(tx: ClubTx, clubId: string, trackId: string): Promise<StoredArm[]> {
  return tx
    .select(arm)
    .from(heatEvent)
    .where(isArmOn(clubId, trackId))
    .orderBy(asc(heatEvent.atUs), asc(heatEvent.factNo));
}

/** The latest arm on a track, of any meeting. */
export async function selectOptionalLastArm(tx: ClubTx, clubId: string, trackId: string): Promise<StoredArm | null> {
  const [last] = await tx
    .select(arm)
    .from(heatEvent)
    .where(isArmOn(clubId, trackId))
    .orderBy(desc(heatEvent.atUs), desc(heatEvent.factNo))
    .limit(1);
  return last ?? null;
}

/** Puts these laps in the place of those stored for a heat. */
export async function replaceLaps(
  tx: ClubTx,
  heat: { clubId: string; meetingId: string; heatId: string },
  laps: readonly { lane: number; entryId: string; driverId: string; lap: Lap }[],
): Promise<void> {
  await tx
    .delete(lap)
    .where(and(eq(lap.clubId, heat.clubId), eq(lap.meetingId, heat.meetingId), eq(lap.heatId, heat.heatId)));
  // A statement takes at most 65,535 parameters; a long heat has thousands of laps.
  for (let i = 0; i < laps.length; i += 1000) {
    await tx.insert(lap).values(
      laps.slice(i, i + 1000).map(({ lane, entryId, driverId, lap: l }) => ({
        ...heat,
        lane,
        n: l.n,
        entryId,
        driverId,
        durationUs: l.durationUs,
        flags: [...l.flags],
      })),
    );
  }
}
