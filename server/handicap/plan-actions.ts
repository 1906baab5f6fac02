import type { Database } from '../../db/client.ts';
import { ring } from '../live/notify.ts';
import type { MeetingKey } from '../meetings/store.ts';
import { type Why, why } from '../pace/why.ts';
import { stageHeats } from '../rotation/heat-stage.ts';
import { selectHeatMarks, selectHeatPlans } from '../rotation/store.ts';
import { bumpPlan, takeFactNumbers } from '../tracks/store.ts';
import { type HeatToPlan, type NightPlan, selectVersion } from './night-plan-store.ts';
import type { HeatWithMargins } from './plan-heat.ts';
import { updateLaneDelay, upsertHeatHandicap } from './store.ts';
import type { ToldHeat, ToldLane } from './told.ts';

/** A heat with what the planner found; null where it could not be asked. */
export type PlannedHeat = { toPlan: HeatToPlan; found: HeatWithMargins | null };

/**
 * Writes the handicaps of heats to come, under the track's lock. A heat that was armed meanwhile keeps what it has.
 *
 * @returns false when something has changed since the plan was read: then nothing is written
 */
export async function keepHandicaps(
  db: Database,
  clubId: string,
  plan: NightPlan,
  planned: readonly PlannedHeat[],
): Promise<boolean> {
  const { meeting, version } = plan;
  return db.withClub(clubId, async (tx) => {
    await takeFactNumbers(tx, clubId, meeting.trackId, 0);
    const now = await selectVersion(tx, clubId, meeting, version.fitN);
    if (now.planNo !== version.planNo || now.rulings !== version.rulings) return false;
    const marks = await selectHeatMarks(tx, clubId, meeting.id);
    const heats = stageHeats(await selectHeatPlans(tx, clubId, meeting.id), marks);
    const open = new Set(heats.filter(({ stage }) => stage === 'planned').map(({ id }) => id));
    const toWrite = planned.filter(({ toPlan }) => open.has(toPlan.heat.id));
    for (const { toPlan, found } of toWrite) {
      const { heat, seed } = toPlan;
      const key: MeetingKey = { clubId, meetingId: meeting.id, id: heat.id };
      const told = toldOf(toPlan, found, plan.heatsSeen);
      await upsertHeatHandicap(tx, key, { seed, fitN: plan.fitN, told });
      for (const { lane, delayMs } of told.lanes) {
        const stands = heat.lanes.find((one) => one.lane === lane)?.delayMs;
        if (stands !== delayMs) await updateLaneDelay(tx, key, lane, delayMs);
      }
    }
    if (toWrite.length > 0) {
      await bumpPlan(tx, clubId, meeting.trackId);
      await ring(tx, { clubId, trackId: meeting.trackId });
    }
    return true;
  });
}

function toldOf(toPlan: HeatToPlan, found: HeatWithMargins | null, heatsSeen: number): ToldHeat {
  const { heat, race, handicap, starters, request, byHand, inputs } = toPlan;
  // The margin is in the units of the scores only where the planner took the heat for what it is.
  const sameUnits = request !== null && (request.length.kind === 'laps') === (race.format === 'laps');
  const lanes = heat.lanes.map(({ lane, entryId }, i): ToldLane => {
    const amount = found?.plan.amounts[i] ?? byHand[i] ?? 0;
    return {
      lane,
      entryId,
      delayMs: handicap.mode === 'delay' ? amount : 0,
      credit: handicap.mode === 'credit' ? amount : 0,
      before: found?.plan.winBefore[i] ?? null,
      after: found?.plan.winAfter[i] ?? null,
      provisional: starters?.[i]?.provisional ?? true,
      byHand: byHand[i] !== null,
      proposed: found?.plan.proposed[i] ?? 0,
      afterProposed: found?.plan.winProposed[i] ?? null,
      by: starters?.[i]?.by ?? null,
      surprising: sameUnits ? (found?.surprising[i] ?? null) : null,
      why: request && found && whyOf(why(request, found.plan, i)),
    };
  });
  return { format: race.format, mode: handicap.mode, inputs, heatsSeen, lanes };
}

const whyOf = ({ own, parts }: Why) => ({ own, parts });
