import type { ClubTx, Database } from '../../db/client.ts';
import { claimCommand } from '../accounts/store.ts';
import type { Clock } from '../clock.ts';
import { Refusal } from '../errors.ts';
import { stopDueAtUs } from '../heats/allowed.ts';
import { type Decision, type EventKind, type HeatEvent, isRuling, type Ruling } from '../heats/facts.ts';
import { extendHeat, foldHeat, type HeatState } from '../heats/fold.ts';
import { insertHeatFact } from '../heats/store.ts';
import { ring } from '../live/notify.ts';
import { selectOptionalMeeting } from '../meetings/store.ts';
import { type StoredHeat, selectOptionalStoredHeat } from '../results/store.ts';
import { takeFactNumbers } from '../tracks/store.ts';
import { byProgram, lastPressedN } from './shown-event.ts';

/** Who acts, on which heat, and by which command: the same command sent twice acts once. */
export type HeatCommand = {
  clubId: string;
  meetingId: string;
  heatId: string;
  commandId: string;
  by: string;
};

export type Desk = { db: Database; clock: Clock };

/**
 * One heat with its track locked: facts appended here become visible together, in order, and to nobody before.
 * What a use case writes goes through `append`, so that each later step sees what the one before did.
 */
export class OpenHeat {
  readonly tx: ClubTx;
  readonly command: HeatCommand;
  readonly stored: StoredHeat;
  readonly nowUs: number;
  /**
   * The number of the heat's last event when the command came, 0 before the first: what the newest screen shows. The
   * stop that the command itself may write is not among them.
   */
  readonly shownN: number;
  state: HeatState;
  #n: number;

  constructor(tx: ClubTx, command: HeatCommand, stored: StoredHeat, nowUs: number) {
    this.tx = tx;
    this.command = command;
    this.stored = stored;
    this.nowUs = nowUs;
    this.state = foldHeat(stored.plan, stored.facts, stored.bitsOf);
    this.shownN = lastPressedN(this.state.events);
    this.#n = [...stored.facts.events, ...stored.facts.rulings].reduce((last, { n }) => Math.max(last, n), 0);
  }

  async event(kind: EventKind, atUs: number): Promise<void> {
    await this.#append({ n: this.#next(), kind, atUs, by: this.command.by });
  }

  async ruling(decision: Decision, why: string, by: string = this.command.by): Promise<void> {
    await this.#append({ ...decision, n: this.#next(), why, by, atUs: this.nowUs });
  }

  /** Writes the stop of a heat that its laps have ended: before anything else is, so that no ruling can undo its end. */
  async settle(): Promise<void> {
    const atUs = stopDueAtUs(this.state, this.nowUs);
    if (atUs !== null) await this.#append({ n: this.#next(), kind: 'stop', atUs, by: byProgram });
  }

  #next(): number {
    this.#n += 1;
    return this.#n;
  }

  async #append(fact: HeatEvent | Ruling): Promise<void> {
    const { clubId, meetingId, heatId } = this.command;
    const { trackId } = this.stored.meeting;
    const factNo = await takeFactNumbers(this.tx, clubId, trackId, 1);
    if (factNo === null) throw new Refusal('notFound');
    await insertHeatFact(this.tx, { clubId, meetingId, heatId, trackId, factNo }, fact);
    this.state = extendHeat(this.state, isRuling(fact) ? { rulings: [fact] } : { events: [fact] });
  }
}

/**
 * Opens a heat for one command: one transaction, the track's lock, the doorbell at its end.
 *
 * @returns what `work` returns; null when the command was carried out before
 * @throws Refusal when there is no such heat, and whatever `work` throws: then nothing is written
 */
export async function atHeat<T>(
  { db, clock }: Desk,
  command: HeatCommand,
  work: (heat: OpenHeat) => Promise<T>,
): Promise<T | null> {
  const { clubId, meetingId, heatId } = command;
  return db.withClub(clubId, async (tx) => {
    const meeting = await selectOptionalMeeting(tx, clubId, meetingId);
    if (!meeting) throw new Refusal('notFound');
    const { trackId } = meeting;
    // No number is used here: it is the lock that is wanted, before anything is read.
    if ((await takeFactNumbers(tx, clubId, trackId, 0)) === null) throw new Refusal('notFound');
    if (!(await claimCommand(tx, clubId, command.commandId))) return null;
    const stored = await selectOptionalStoredHeat(tx, meeting, heatId);
    if (!stored) throw new Refusal('notFound');
    const heat = new OpenHeat(tx, command, stored, clock.nowUs());
    await heat.settle();
    const result = await work(heat);
    await ring(tx, { clubId, trackId });
    return result;
  });
}
