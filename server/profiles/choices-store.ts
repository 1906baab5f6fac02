import { and, asc, desc, eq, sql } from 'drizzle-orm';
import { alias } from 'drizzle-orm/pg-core';
import type { ClubTx } from '../../db/client.ts';
import { profile, profileChoice } from '../../db/schema/index.ts';

/** What is dialled in: a row of the choices. */
export type StoredChoice = {
  id: string;
  profileId: string;
  version: number;
  lane: number | null;
  chosenAt: Date;
};

/** What a driver has dialled in, the latest choice first; a profile's alone where one is named. */
export async function selectChoices(
  tx: ClubTx,
  clubId: string,
  driverId: string,
  profileId?: string,
): Promise<StoredChoice[]> {
  return tx
    .select({
      id: profileChoice.id,
      profileId: profileChoice.profileId,
      version: profileChoice.version,
      lane: profileChoice.lane,
      chosenAt: profileChoice.chosenAt,
    })
    .from(profileChoice)
    .where(
      and(
        eq(profileChoice.clubId, clubId),
        eq(profileChoice.driverId, driverId),
        profileId === undefined ? undefined : eq(profileChoice.profileId, profileId),
      ),
    )
    .orderBy(desc(profileChoice.chosenAt), asc(profileChoice.id));
}

/** Puts a choice in the place of the driver's others for the same car, track and lane. */
export async function replaceChoice(
  tx: ClubTx,
  row: typeof profileChoice.$inferInsert & { lane: number | null },
  of: { carId: string | null; trackId: string | null },
): Promise<void> {
  await deleteChoices(tx, row.clubId, row.driverId, { ...of, lane: row.lane });
  await tx.insert(profileChoice).values(row);
}

/** Takes back what a driver has dialled in for exactly this car, track and lane; null stands for "any". */
async function deleteChoices(
  tx: ClubTx,
  clubId: string,
  driverId: string,
  of: { carId: string | null; trackId: string | null; lane: number | null },
): Promise<void> {
  const other = alias(profile, 'other');
  const same = tx
    .select({ id: other.id })
    .from(other)
    .where(
      and(
        eq(other.clubId, clubId),
        eq(other.driverId, driverId),
        sql`${other.carId} is not distinct from ${of.carId}`,
        sql`${other.trackId} is not distinct from ${of.trackId}`,
      ),
    );
  await tx
    .delete(profileChoice)
    .where(
      and(
        eq(profileChoice.clubId, clubId),
        eq(profileChoice.driverId, driverId),
        sql`${profileChoice.lane} is not distinct from ${of.lane}`,
        sql`${profileChoice.profileId} in ${same}`,
      ),
    );
}

/** @returns whether there was such a choice */
export async function deleteChoice(tx: ClubTx, clubId: string, profileId: string, id: string): Promise<boolean> {
  const rows = await tx
    .delete(profileChoice)
    .where(and(eq(profileChoice.clubId, clubId), eq(profileChoice.profileId, profileId), eq(profileChoice.id, id)))
    .returning({ id: profileChoice.id });
  return rows.length > 0;
}

/** Takes back every choice of a profile. */
export async function deleteChoicesOf(tx: ClubTx, clubId: string, profileId: string): Promise<void> {
  await tx.delete(profileChoice).where(and(eq(profileChoice.clubId, clubId), eq(profileChoice.profileId, profileId)));
}
