import { and, asc, desc, eq, sql } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { draw } from '../../db/schema/index.ts';
import type { MeetingKey } from '../meetings/store.ts';
import type { Certificate, DrawRequest } from './rotation.ts';

/** What is remembered of a draw: enough to draw it again and compare. */
export type DrawRecord = {
  /** From 1 in each race, in the order in which draws were taken. */
  n: number;
  /** Name and version of the engine. */
  engine: string;
  seed: number;
  /** Drivers are ids of entries. */
  request: DrawRequest;
  /** As it was shown when the draw was taken. */
  certificate: Certificate;
  createdAt: Date;
};

/**
 * Remembers a draw as the latest of its race. Ask under the track's row lock (`bumpPlan`): two at once would take the
 * same number, and the second one fails.
 *
 * @param key names the race
 * @returns its number
 */
export async function insertDraw(
  tx: ClubTx,
  key: MeetingKey,
  { engine, seed, request, certificate }: Omit<DrawRecord, 'n' | 'createdAt'>,
): Promise<number> {
  const [last] = await tx
    .select({ n: sql`coalesce(max(${draw.n}), 0)`.mapWith(Number) })
    .from(draw)
    .where(drawOf(key));
  const n = (last?.n ?? 0) + 1;
  const { clubId, meetingId, id: raceId } = key;
  const row = { clubId, meetingId, raceId, n, engine, seed, request: JSON.stringify(request), certificate };
  await tx.insert(draw).values(row);
  return n;
}

/** The draws of a race, the first one first. */
export async function selectDraws(tx: ClubTx, key: MeetingKey): Promise<DrawRecord[]> {
  const rows = await tx.select().from(draw).where(drawOf(key)).orderBy(asc(draw.n));
  return rows.map(fromRow);
}

/** The latest draw of a race; null where none was taken. */
export async function selectOptionalLastDraw(tx: ClubTx, key: MeetingKey): Promise<DrawRecord | null> {
  const [row] = await tx.select().from(draw).where(drawOf(key)).orderBy(desc(draw.n)).limit(1);
  return row ? fromRow(row) : null;
}

const drawOf = ({ clubId, meetingId, id }: MeetingKey) =>
  and(eq(draw.clubId, clubId), eq(draw.meetingId, meetingId), eq(draw.raceId, id));

function fromRow({ n, engine, seed, request, certificate, createdAt }: typeof draw.$inferSelect): DrawRecord {
  return {
    n,
    engine,
    seed,
    request: JSON.parse(request) as DrawRequest,
    certificate: certificate as Certificate,
    createdAt,
  };
}

/** One draw of a race by its number; null when there is none. */
export async function selectOptionalDraw(tx: ClubTx, key: MeetingKey, n: number): Promise<DrawRecord | null> {
  const [row] = await tx
    .select()
    .from(draw)
    .where(and(drawOf(key), eq(draw.n, n)));
  return row ? fromRow(row) : null;
}
