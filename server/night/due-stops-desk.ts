import { newId } from '../accounts/tokens.ts';
import { stopDueAtUs } from '../heats/allowed.ts';
import { atHeat, type Desk } from './heat-desk.ts';
import { heatOnTrack, type MeetingNow } from './meeting-now.ts';
import { byProgram } from './shown-event.ts';

/**
 * Writes the stop of a heat as soon as somebody's screen shows that its laps have ended it. From then on neither a
 * ruling nor a changed shortest lap makes it longer. Where nobody looks, the next press writes it first.
 */
export class DueStops {
  readonly #desk: Desk;
  readonly #onFailure: (error: unknown) => void;
  readonly #writing = new Map<string, Promise<void>>();

  constructor(desk: Desk, onFailure: (error: unknown) => void) {
    this.#desk = desk;
    this.#onFailure = onFailure;
  }

  look(clubId: string, now: MeetingNow): void {
    const heatId = heatOnTrack(now)?.id;
    const state = heatId === undefined ? undefined : now.heats.get(heatId);
    if (heatId === undefined || !state || stopDueAtUs(state, now.nowUs) === null) return;
    const meetingId = now.meeting.id;
    const key = JSON.stringify([clubId, meetingId, heatId]);
    if (this.#writing.has(key)) return;
    const command = { clubId, meetingId, heatId, commandId: newId(), by: byProgram };
    // Opening the heat is enough: it settles what is due, under the lock and only if nobody else has.
    const writing = atHeat(this.#desk, command, async () => {})
      .then(() => {}, this.#onFailure)
      .finally(() => this.#writing.delete(key));
    this.#writing.set(key, writing);
  }

  /** When all that is under way is written. */
  async settled(): Promise<void> {
    await Promise.all(this.#writing.values());
  }
}
