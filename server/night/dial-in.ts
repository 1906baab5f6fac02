import { choiceInUse } from '../profiles/in-use.ts';
import type { ChosenVersion } from '../profiles/in-use-store.ts';
import { underLimit } from '../profiles/model/limit.ts';
import type { Profile } from '../profiles/model/profile.ts';
import type { HeatPlanRow } from '../rotation/store.ts';
import type { Card, Duty } from './card-view.ts';
import { heatsToCome, type MeetingNow } from './meeting-now.ts';

/** What to set on the controller on one lane; null where nothing was chosen for it. */
export type DialledLane = { lane: number; profileId: string; version: number; name: string } | null;

/** What a driver dials in before the next heat. */
export type DialIn = {
  driverId: string;
  duty: Duty;
  /** Null where nothing chosen fits. */
  use: {
    profileId: string;
    version: number;
    /** As saved. */
    own: Profile;
    /** As it may be driven in this race: the same object where no limit bites. */
    held: Profile;
    limitPermille: number | null;
  } | null;
  /** Lanes of later heats of the night on which something else is dialled in. */
  otherLanes: { lane: number; use: DialledLane }[];
};

/**
 * What the driver of a card dials in for the next heat.
 *
 * @returns null where there is nothing left to drive; `'none'` where the driver has dialled in nothing at all
 */
export function dialInOf(now: MeetingNow, card: Card): DialIn | 'none' | null {
  const duty = card.now?.kind === 'drive' && card.now.result === null ? card.now : card.nextDrive;
  const driverId = card.entries[0]?.driverId;
  if (driverId === undefined) return null;
  const chosen = now.chosen.filter((choice) => choice.driverId === driverId);
  if (chosen.length === 0) return 'none';
  if (!duty) return null;
  const at = (heat: HeatPlanRow) => inUseIn(now, card, chosen, heat);
  const use = at(duty.heat);
  return {
    driverId,
    duty,
    use: use && {
      profileId: use.profileId,
      version: use.version,
      own: use.profile,
      held: underLimit(use.profile, duty.race.driveLimit),
      limitPermille: duty.race.driveLimit,
    },
    otherLanes: otherLanes(now, card, duty, use, at),
  };
}

const laneIn = (card: Card, heat: HeatPlanRow) =>
  heat.lanes.find(({ entryId }) => card.entries.some(({ id }) => id === entryId));

function inUseIn(now: MeetingNow, card: Card, chosen: readonly ChosenVersion[], heat: HeatPlanRow) {
  const seat = laneIn(card, heat);
  const race = now.races.find(({ id }) => id === heat.raceId);
  if (!seat || !race) return null;
  return choiceInUse(chosen, {
    carId: card.entries.find(({ id }) => id === seat.entryId)?.carId ?? null,
    classId: race.classId,
    trackId: now.meeting.trackId,
    lane: seat.lane,
  });
}

/** Of the same race: in another the car is another, and its card comes when it is next. */
function otherLanes(
  now: MeetingNow,
  card: Card,
  duty: Duty,
  first: ChosenVersion | null,
  at: (heat: HeatPlanRow) => ChosenVersion | null,
): DialIn['otherLanes'] {
  const lanes = new Map<number, DialledLane>();
  for (const heat of heatsToCome(now)) {
    const lane = laneIn(card, heat)?.lane;
    if (lane === undefined || heat.raceId !== duty.race.id || lane === duty.place) continue;
    const use = at(heat);
    if (use?.profileId === first?.profileId && use?.version === first?.version) continue;
    const { profileId, version, profile } = use ?? {};
    const known = profileId !== undefined && version !== undefined && profile !== undefined;
    lanes.set(lane, known ? { lane, profileId, version, name: profile.name } : null);
  }
  return [...lanes].map(([lane, use]) => ({ lane, use })).sort((a, b) => a.lane - b.lane);
}
