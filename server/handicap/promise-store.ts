import { and, asc, desc, eq } from 'drizzle-orm';
import type { ClubTx } from '../../db/client.ts';
import { heat, heatHandicap, race, standing } from '../../db/schema/index.ts';
import type { ToldAndRun } from './kept-promises.ts';

/** Every heat that was told a handicap and whose race has results, oldest first. */
export async function selectToldAndRun(tx: ClubTx, clubId: string): Promise<ToldAndRun[]> {
  const latest = tx
    .selectDistinctOn([standing.meetingId, standing.raceId], {
      meetingId: standing.meetingId,
      raceId: standing.raceId,
      results: standing.results,
    })
    .from(standing)
    .where(eq(standing.clubId, clubId))
    .orderBy(asc(standing.meetingId), asc(standing.raceId), desc(standing.revision))
    .as('latest');
  return tx
    .select({ heatId: heat.id, plan: heatHandicap.plan, format: race.format, results: latest.results })
    .from(heatHandicap)
    .innerJoin(
      heat,
      and(
        eq(heat.clubId, heatHandicap.clubId),
        eq(heat.meetingId, heatHandicap.meetingId),
        eq(heat.id, heatHandicap.heatId),
      ),
    )
    .innerJoin(race, and(eq(race.clubId, heat.clubId), eq(race.meetingId, heat.meetingId), eq(race.id, heat.raceId)))
    .innerJoin(latest, and(eq(latest.meetingId, heat.meetingId), eq(latest.raceId, heat.raceId)))
    .where(eq(heatHandicap.clubId, clubId))
    .orderBy(asc(heatHandicap.createdAt), asc(heat.id));
}
