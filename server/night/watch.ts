import fp from 'fastify-plugin';
import type { ClubTx, Database } from '../../db/client.ts';
import type { Clock } from '../clock.ts';
import { selectHeatHandicaps } from '../handicap/store.ts';
import type { Crossing, HeatEvent, HeatFacts, Ruling } from '../heats/facts.ts';
import { isRuling } from '../heats/facts.ts';
import { extendHeat, type HeatState } from '../heats/fold.ts';
import { selectTrackFactsAfter } from '../heats/store.ts';
import { selectChosen } from '../profiles/in-use-store.ts';
import { countMeeting } from '../results/count.ts';
import { selectOptionalStoredMeeting } from '../results/store.ts';
import { heatAt } from '../results/windows.ts';
import { selectCrossingsAfter, selectDevices } from '../timing/store.ts';
import { selectLanes, selectOptionalTrack } from '../tracks/store.ts';
import { DueStops } from './due-stops-desk.ts';
import type { MeetingNow } from './meeting-now.ts';

declare module 'fastify' {
  interface FastifyInstance {
    watches: Watches;
  }
}

/** Keeps the meetings that somebody looks at counted, so that one more crossing costs one more crossing. */
export class Watches {
  readonly #db: Database;
  readonly #clock: Clock;
  readonly #watches = new Map<string, Watch>();

  readonly #onCounted: (clubId: string, now: MeetingNow) => void;

  /** @param onCounted called with every meeting that was counted for somebody */
  constructor(db: Database, clock: Clock, onCounted: (clubId: string, now: MeetingNow) => void) {
    this.#db = db;
    this.#clock = clock;
    this.#onCounted = onCounted;
  }

  /** The meeting as it stands now; null when the club has none of this id. */
  async now(clubId: string, meetingId: string): Promise<MeetingNow | null> {
    const key = `${clubId}/${meetingId}`;
    const watch = this.#watches.get(key) ?? new Watch(this.#db, clubId, meetingId);
    // The most recently used stand last.
    this.#watches.delete(key);
    this.#watches.set(key, watch);
    const [oldest] = this.#watches.keys();
    if (this.#watches.size > kept && oldest !== undefined) this.#watches.delete(oldest);
    const counted = await watch.upToDate();
    if (counted === null) {
      this.#watches.delete(key);
      return null;
    }
    const now = { ...counted, nowUs: this.#clock.nowUs() };
    this.#onCounted(clubId, now);
    return now;
  }
}

/** Meetings kept in memory: one a track is the rule, a few more are looked at afterwards. */
const kept = 20;

type Counted = Omit<MeetingNow, 'nowUs'>;
type Memory = Counted & { factNo: number; planNo: number };

class Watch {
  readonly #db: Database;
  readonly #clubId: string;
  readonly #meetingId: string;
  #memory: Memory | null = null;
  #last: Promise<unknown> = Promise.resolve();

  constructor(db: Database, clubId: string, meetingId: string) {
    this.#db = db;
    this.#clubId = clubId;
    this.#meetingId = meetingId;
  }

  /** Reads what is new. One reading after the other: each goes on from what the one before has counted. */
  upToDate(): Promise<Counted | null> {
    const reading = this.#last.then(() => this.#read());
    this.#last = reading.catch(() => {});
    return reading;
  }

  async #read(): Promise<Counted | null> {
    const read = (tx: ClubTx) => (this.#memory === null ? this.#readAll(tx) : this.#readNews(tx, this.#memory));
    this.#memory = await this.#db.readClub(this.#clubId, read);
    return this.#memory;
  }

  async #readAll(tx: ClubTx): Promise<Memory | null> {
    const stored = await selectOptionalStoredMeeting(tx, this.#clubId, this.#meetingId);
    if (!stored) return null;
    const { heats } = countMeeting(stored.facts);
    return {
      meeting: stored.meeting,
      lanes: await selectLanes(tx, this.#clubId, stored.meeting.trackId),
      races: stored.races,
      entries: new Map(stored.entries.map((entry) => [entry.id, entry])),
      programme: stored.heats.filter(({ removedAt }) => removedAt === null),
      heats,
      handicaps: await selectHeatHandicaps(tx, this.#clubId, this.#meetingId),
      chosen: await selectChosen(tx, this.#clubId, [...new Set(stored.entries.map(({ driverId }) => driverId))]),
      armings: stored.armings,
      devices: stored.devices,
      factNo: stored.factNo,
      planNo: stored.planNo,
    };
  }

  async #readNews(tx: ClubTx, memory: Memory): Promise<Memory | null> {
    const { trackId } = memory.meeting;
    const track = await selectOptionalTrack(tx, this.#clubId, trackId);
    if (!track || track.planNo !== memory.planNo) return this.#readAll(tx);
    const devices = await selectDevices(tx, this.#clubId, trackId);
    if (track.factNo === memory.factNo) return { ...memory, devices };
    // A device nobody knew yet brings the width of its clock with it.
    if (devices.length !== memory.devices.length) return this.#readAll(tx);
    const facts = await selectTrackFactsAfter(tx, this.#clubId, trackId, memory.factNo);
    // An arm opens a window: crossings that were counted already may belong to it.
    if (facts.some(({ fact }) => fact.kind === 'arm')) return this.#readAll(tx);
    const crossings = await selectCrossingsAfter(tx, this.#clubId, trackId, memory.factNo);
    const own = facts.filter(({ meetingId }) => meetingId === this.#meetingId);
    const more = newFacts(own, crossings, memory);
    const heats = new Map<string, HeatState>(memory.heats);
    for (const [id, news] of more) {
      const state = heats.get(id);
      if (state) heats.set(id, extendHeat(state, news));
    }
    return { ...memory, heats, devices, factNo: track.factNo };
  }
}

type News = { events: HeatEvent[]; rulings: Ruling[]; crossings: Crossing[] };

/** New facts by the heat they belong to. */
function newFacts(
  facts: readonly { heatId: string; fact: HeatEvent | Ruling }[],
  crossings: readonly Crossing[],
  { armings }: Counted,
): Map<string, HeatFacts> {
  const byHeat = new Map<string, News>();
  const of = (heatId: string): News => {
    const news = byHeat.get(heatId) ?? { events: [], rulings: [], crossings: [] };
    byHeat.set(heatId, news);
    return news;
  };
  for (const { heatId, fact } of facts) {
    if (isRuling(fact)) of(heatId).rulings.push(fact);
    else of(heatId).events.push(fact);
  }
  for (const crossing of crossings) {
    const heatId = heatAt(armings, crossing.atUs);
    if (heatId !== null) of(heatId).crossings.push(crossing);
  }
  return byHeat;
}

/** Makes the counted meetings known to every route. */
export const watches = fp(
  async (app) => {
    const stops = new DueStops({ db: app.db, clock: app.clock }, (error) =>
      app.log.error({ err: error }, 'the stop of a heat could not be written; the next press writes it'),
    );
    app.decorate('watches', new Watches(app.db, app.clock, (clubId, now) => stops.look(clubId, now)));
    app.addHook('onClose', () => stops.settled());
  },
  { name: 'watches', dependencies: ['database'] },
);
