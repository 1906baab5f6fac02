import type { ClubTx, Database } from '../../db/client.ts';
import type { LaneLook } from '../../views/components/lane-defaults.ts';
import { lookOf } from '../../views/night-lanes.ts';
import { selectDrawPreset } from '../clubs/store.ts';
import { Refusal } from '../errors.ts';
import type { Meeting } from '../meetings/store.ts';
import { selectLanes } from '../tracks/store.ts';
import type { RaceKey, RacePlan } from './actions.ts';
import { type DrawBasis, planFingerprint, readDrawBasis } from './draft-actions.ts';
import { longestHeatMs, type UsualDraw, usualDraw } from './draw-form.ts';
import type { DrawForm } from './draw-schema.ts';
import type { DrawRecord } from './draws-store.ts';
import { staysOnPlan } from './plan-request.ts';

/** One race, opened for a draw. */
export interface DrawDesk extends DrawBasis {
  /** The lanes of the night as they look, by number. */
  readonly lanes: readonly LaneLook[];
  readonly fingerprint: string;
  readonly form: DrawForm;
  readonly usual: UsualDraw;
}

/**
 * Opens a race for a draw.
 *
 * @throws Refusal `notFound` when there is no such race
 */
export async function openDrawDesk(db: Database, key: RaceKey): Promise<DrawDesk> {
  const desk = await db.readClub(key.clubId, async (tx) => {
    const basis = await readDrawBasis(tx, key);
    if (!basis) return null;
    const preset = await selectDrawPreset(tx, key.clubId);
    return { basis, preset, lanes: await lanesOfNight(tx, basis.plan.meeting) };
  });
  if (!desk) throw new Refusal('notFound');
  const { basis, preset, lanes } = desk;
  const { plan, drawPlan, last } = basis;
  const usual = usualDraw(drawPlan.lanes, heatsThatCount(plan), lastRequest(last), {
    preset,
    marshals: plan.race.marshals,
    pace: drawPlan.pace !== null,
    planned: drawPlan.heats.filter((heat) => !staysOnPlan(heat)).length,
  });
  const form = { lanes: drawPlan.lanes, heatMs: longestHeatMs(plan.race), usual: usual.usual };
  return { ...basis, lanes, fingerprint: planFingerprint(drawPlan), form, usual };
}

const lastRequest = (last: DrawRecord | null) => last?.request ?? null;

const heatsThatCount = ({ heats }: RacePlan) => heats.filter((heat) => heat.stage !== 'void').map((heat) => heat.lanes);

/** The lanes of the night as they look, by number. */
export async function lanesOfNight(tx: ClubTx, meeting: Meeting): Promise<LaneLook[]> {
  const lanes = await selectLanes(tx, meeting.clubId, meeting.trackId);
  return meeting.trackSettings.lanes.map(({ lane }) => lookOf({ lanes }, lane)).sort((a, b) => a.number - b.number);
}
