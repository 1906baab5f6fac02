import { and, eq } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { heatLane, standing } from '../../db/schema/index.ts';

/** Dates the standings of a meeting back to the evening on which they came about. */
export async function updateStandingDates(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  createdAt: Date,
): Promise<void> {
  await tx
    .update(standing)
    .set({ createdAt })
    .where(and(eq(standing.clubId, clubId), eq(standing.meetingId, meetingId)));
}

/** A version that a driver had dialled in, in a heat of the past. */
export interface NotedHeat {
  readonly heat: string;
  readonly entry: string;
  readonly profileId: string;
  readonly version: number;
}

/** Notes what was dialled in in the heats of a meeting. */
export async function updateNotedVersions(
  tx: ClubTx,
  clubId: string,
  meetingId: string,
  noted: readonly NotedHeat[],
): Promise<void> {
  for (const { heat, entry, profileId, version } of noted) {
    await tx
      .update(heatLane)
      .set({ profileId, profileVersion: version })
      .where(
        and(
          eq(heatLane.clubId, clubId),
          eq(heatLane.meetingId, meetingId),
          eq(heatLane.heatId, heat),
          eq(heatLane.entryId, entry),
        ),
      );
  }
}
