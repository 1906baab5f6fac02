import { and, eq } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { standing } from '../../db/schema/index.ts';

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
