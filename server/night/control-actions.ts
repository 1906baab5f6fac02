import { creditWhy, selectCredits } from '../handicap/credits-store.ts';
import {
  type EventRefusal,
  recordedAtUs,
  refusedArm,
  refusedEvent,
  refusedRuling,
  type StateRefusal,
} from '../heats/allowed.ts';
import type { Decision, EventKind } from '../heats/facts.ts';
import { confirmedAtUs, isStarted, isVoid } from '../heats/phase.ts';
import { replaceLaps, selectOptionalLastArm } from '../heats/store.ts';
import { nextMeetingId, selectOptionalMeeting } from '../meetings/store.ts';
import { noteInUse } from '../profiles/heats-store.ts';
import { recordStandings } from '../results/revisions.ts';
import { selectOptionalStoredHeat, selectOptionalStoredMeeting } from '../results/store.ts';
import { wouldExceed } from '../rotation/runs-store.ts';
import { insertHeats, updateOrdinals } from '../rotation/store.ts';
import { bumpPlan } from '../tracks/store.ts';
import { atHeat, type Desk, type HeatCommand, OpenHeat } from './heat-desk.ts';
import { lapsToKeep } from './laps-to-keep.ts';
import { byProgram } from './shown-event.ts';

/** Why the desk did nothing. */
export type DeskRefusal =
  | EventRefusal
  | StateRefusal
  /** Somebody else pressed since the screen was drawn. */
  | 'stale'
  /** Somebody would have more heats that count than the race gives each. */
  | 'too-many-heats'
  | 'off-the-plan'
  | 'void-already';

/** Refused by the rules of counting; carries the code that the page turns into a sentence. */
export class DeskError extends Error {
  readonly code: DeskRefusal;
  constructor(code: DeskRefusal) {
    super(code);
    this.code = code;
  }
}

export type Press = HeatCommand & {
  kind: EventKind;
  /** The number of the heat's last event that the screen showed. */
  seenN: number;
  /** For a track call: how long before the press it was called, in microseconds. */
  calledAgoUs: number;
};

/**
 * Arm, start, track call, resume, stop, finish, confirm.
 *
 * @throws DeskError when the state does not allow it, or the screen it was pressed on was old
 */
export async function press(desk: Desk, command: Press): Promise<void> {
  await atHeat(desk, command, async (heat) => {
    if (heat.shownN !== command.seenN) throw new DeskError('stale');
    await pressOn(heat, command.kind, command.calledAgoUs);
    if (command.kind === 'confirm') await keepResults(heat);
  });
}

async function pressOn(heat: OpenHeat, kind: EventKind, calledAgoUs = 0): Promise<void> {
  const { stored, state } = heat;
  if (kind === 'arm' && stored.heat.removedAt !== null) throw new DeskError('off-the-plan');
  const atUs = recordedAtUs(state, pressedAtUs(heat, kind, calledAgoUs));
  const refused = (await outOfTurn(heat, kind, atUs)) ?? refusedEvent(state, kind, atUs);
  if (refused) throw new DeskError(refused);
  if (kind === 'start') await refuseTooMany(heat);
  await heat.event(kind, atUs);
  if (kind !== 'start') return;
  await giveCredits(heat);
  await noteProfiles(heat);
}

/** With which controller profile everybody goes off: it stands beside the lane, and counts for nothing. */
async function noteProfiles({ tx, command, stored }: OpenHeat): Promise<void> {
  const drivers = new Map(stored.entries.map((entry) => [entry.id, entry]));
  const lanes = stored.heat.lanes.flatMap(({ lane, entryId }) => {
    const entry = drivers.get(entryId);
    return entry ? [{ lane, driverId: entry.driverId, carId: entry.carId }] : [];
  });
  const place = { trackId: stored.meeting.trackId, classId: stored.race.classId };
  await noteInUse(tx, command, place, lanes);
}

/** Credited laps are rulings like any other: they stand beside the start, and can be undone. */
async function giveCredits(heat: OpenHeat): Promise<void> {
  for (const { lane, value } of await selectCredits(heat.tx, heat.command, heat.stored)) {
    await heat.ruling({ kind: 'adjust', target: { lane }, value }, creditWhy, byProgram);
  }
}

/** A log in which somebody has more heats than the race gives each could not be taken in again. */
async function refuseTooMany({ tx, command, stored }: OpenHeat): Promise<void> {
  const most = stored.race.heatsPerEntry;
  if (most !== null && (await wouldExceed(tx, command, stored.heat, stored.heats, most))) {
    throw new DeskError('too-many-heats');
  }
}

/** A start lies ahead by its countdown, a track call back by the time since it was called. */
function pressedAtUs({ stored, nowUs }: OpenHeat, kind: EventKind, calledAgoUs: number): number {
  if (kind === 'start') return nowUs + stored.race.countdownMs * 1000;
  return kind === 'hold' ? nowUs - calledAgoUs : nowUs;
}

/** What other heats of the track have to say: arming waits for the one before, starting needs the last arm. */
async function outOfTurn(heat: OpenHeat, kind: EventKind, atUs: number): Promise<EventRefusal | null> {
  const { tx, stored, command } = heat;
  if (kind === 'start') return stored.armings.at(-1)?.heat === stored.heat.id ? null : 'not-armed';
  if (kind !== 'arm') return null;
  const last = await selectOptionalLastArm(tx, command.clubId, stored.meeting.trackId);
  if (!last || (last.meetingId === command.meetingId && last.heatId === command.heatId)) return null;
  const meeting = await selectOptionalMeeting(tx, command.clubId, last.meetingId);
  const other = meeting && (await selectOptionalStoredHeat(tx, meeting, last.heatId));
  if (!other) return null;
  const before = new OpenHeat(tx, { ...command, meetingId: last.meetingId, heatId: last.heatId }, other, heat.nowUs);
  await before.settle();
  return refusedArm(before.state, atUs);
}

export type Rule = HeatCommand & { decision: Decision; why: string };

/**
 * Records a ruling.
 *
 * @throws DeskError when it names nothing, or what it may not
 */
export async function rule(desk: Desk, command: Rule): Promise<void> {
  await ruleAll(desk, command, [command]);
}

/** Records several rulings at once, or none of them: the part laps of all lanes. */
export async function ruleAll(
  desk: Desk,
  command: HeatCommand,
  rulings: readonly { decision: Decision; why: string }[],
  finish = false,
): Promise<void> {
  await atHeat(desk, command, async (heat) => {
    for (const { decision, why } of rulings) {
      const refused = refusalOf(heat, decision);
      if (refused) throw new DeskError(refused);
      const wasVoid = isVoid(heat.state);
      await heat.ruling(decision, why);
      // The heat counts again: perhaps it was run once more meanwhile.
      if (wasVoid && !isVoid(heat.state) && isStarted(heat.state)) await refuseTooMany(heat);
    }
    if (finish) await pressOn(heat, 'finish');
    if (confirmedAtUs(heat.state) !== null) await keepResults(heat);
  });
}

function refusalOf({ stored, state }: OpenHeat, decision: Decision): DeskRefusal | null {
  if (decision.kind === 'void' && isVoid(state)) return 'void-already';
  return refusedRuling(state, decision, (id) => stored.entries.some((entry) => entry.id === id));
}

/** Takes a heat out that was started: stops it if it runs, makes it void. */
export async function voidHeat(desk: Desk, command: HeatCommand, why: string): Promise<void> {
  await atHeat(desk, command, (heat) => voidOn(heat, why));
}

async function voidOn(heat: OpenHeat, why: string): Promise<void> {
  if (!isStarted(heat.state)) throw new DeskError('not-started');
  if (isVoid(heat.state)) throw new DeskError('void-already');
  if (recordedAtUs(heat.state, heat.nowUs) < heat.state.clock.endUs) await pressOn(heat, 'stop');
  await heat.ruling({ kind: 'void', target: {} }, why);
  if (confirmedAtUs(heat.state) !== null) await keepResults(heat);
}

/**
 * Void and once more: the heat counts for nobody, and a new one with the same drivers on the same lanes is put on the
 * plan as the next of its race. A heat that is void already is only put on the plan again.
 *
 * @returns the new heat's id; null when the command was carried out before
 */
export async function rerunHeat(desk: Desk, command: HeatCommand, why: string): Promise<string | null> {
  return atHeat(desk, command, async (heat) => {
    if (!isVoid(heat.state)) await voidOn(heat, why);
    return planRerun(heat);
  });
}

async function planRerun({ tx, command, stored }: OpenHeat): Promise<string> {
  const { clubId, meetingId } = command;
  const { heat, heats, race } = stored;
  await bumpPlan(tx, clubId, stored.meeting.trackId);
  const id = await nextMeetingId(tx, clubId, meetingId, 'h');
  // Behind the heat it replaces; what follows in this race moves on by one.
  const later = heats.filter((other) => other.raceId === race.id && other.ordinal > heat.ordinal);
  await updateOrdinals(
    tx,
    clubId,
    meetingId,
    later.map((other) => ({ id: other.id, ordinal: other.ordinal + 1 })),
  );
  await insertHeats(tx, clubId, meetingId, [
    {
      id,
      raceId: race.id,
      ordinal: heat.ordinal + 1,
      reruns: heat.id,
      lanes: heat.lanes,
      marshals: heat.marshals,
    },
  ]);
  return id;
}

/** Stores the laps of a confirmed heat and its race's standing: history, made again from the facts at any time. */
async function keepResults({ tx, command, stored, state }: OpenHeat): Promise<void> {
  const { clubId, meetingId, heatId } = command;
  await replaceLaps(tx, { clubId, meetingId, heatId }, lapsToKeep(state, stored.entries));
  const meeting = await selectOptionalStoredMeeting(tx, clubId, meetingId);
  if (meeting) await recordStandings(tx, clubId, meeting);
}
