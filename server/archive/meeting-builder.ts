import type { Crossing } from '../heats/facts.ts';
import { crossingId } from '../heats/order.ts';
import {
  type Device,
  type Driver,
  type Entry,
  type Heat,
  type Meeting,
  type MeetingFacts,
  planOfHeat,
  type Race,
  type Track,
} from '../results/meeting-facts.ts';
import { JournalBuilder } from './journal-builder.ts';
import type { LogLine } from './log-lines.ts';
import { LineError, type LogRefusal, type LogRefusalCode } from './refusal.ts';

/** Puts a meeting together line by line. What a line names must have come before it. */
export class MeetingBuilder {
  #meeting: Meeting | null = null;
  #track: Track | null = null;
  readonly #drivers = new Map<string, Driver>();
  readonly #races = new Map<string, Race>();
  readonly #entries = new Map<string, Entry>();
  readonly #heats = new Map<string, Heat>();
  readonly #devices = new Map<string, Device>();
  readonly #crossings = new Map<string, Crossing>();
  readonly #journal = new JournalBuilder({
    crossing: (key) => this.#crossings.get(crossingId(key)),
    raceOfEntry: (entry) => this.#entries.get(entry)?.race,
  });

  /**
   * Adds a line.
   *
   * @param number of the line, from 1
   * @throws LineError where the line cannot stand where it stands
   */
  add(line: LogLine, number: number): void {
    if (line.type === 'meeting') return this.#addMeeting(line.value);
    if (this.#meeting === null) throw new LineError('meeting-not-first');
    switch (line.type) {
      case 'track':
        return this.#addTrack(line.value);
      case 'driver':
        return addOnce(this.#drivers, line.value);
      case 'race':
        return addOnce(this.#races, line.value);
      case 'entry':
        return this.#addEntry(line.value);
      case 'heat':
        return this.#addHeat(line.value);
      case 'device':
        return addOnce(this.#devices, line.value);
      case 'crossing':
        return this.#addCrossing(line.value);
      case 'event':
        return this.#journal.addEvent(line.heat, line.value, number);
      case 'ruling':
        return this.#journal.addRuling(line.heat, line.value);
    }
  }

  /**
   * The meeting after its last line.
   *
   * @param lines number of lines of the log
   * @returns the meeting, or why the log as a whole is refused
   */
  finish(lines: number): { facts: MeetingFacts } | { refusal: LogRefusal } {
    // What is missing would have to stand after the last line.
    if (this.#meeting === null) return { refusal: { line: lines + 1, code: 'meeting-not-first', what: '' } };
    if (this.#track === null) return { refusal: { line: lines + 1, code: 'track-missing', what: '' } };
    const tooMany = this.#journal.startTooMany((race) => this.#races.get(race)?.heatsPerEntry ?? null);
    if (tooMany !== null) return { refusal: { line: tooMany.line, code: 'too-many-heats', what: tooMany.entry } };
    return {
      facts: {
        meeting: this.#meeting,
        track: this.#track,
        drivers: [...this.#drivers.values()],
        races: [...this.#races.values()],
        entries: [...this.#entries.values()],
        heats: [...this.#heats.values()],
        devices: [...this.#devices.values()],
        journal: this.#journal.lines,
        crossings: [...this.#crossings.values()],
      },
    };
  }

  #addMeeting(meeting: Meeting): void {
    if (this.#meeting !== null) throw new LineError('meeting-twice');
    this.#meeting = meeting;
  }

  #addTrack(track: Track): void {
    if (this.#track !== null) throw new LineError('track-twice');
    refuseTwice(track.lanes, ({ lane }) => lane, 'lane-twice');
    this.#track = track;
  }

  #addEntry(entry: Entry): void {
    find(this.#races, entry.race, 'no-such-race');
    find(this.#drivers, entry.driver, 'no-such-driver');
    addOnce(this.#entries, entry);
  }

  #addHeat(heat: Heat): void {
    const track = this.#trackSoFar();
    const race = find(this.#races, heat.race, 'no-such-race');
    for (const { lane, entry } of heat.lanes) {
      requireLane(track, lane);
      if (find(this.#entries, entry, 'no-such-entry').race !== heat.race) {
        throw new LineError('entry-of-another-race', entry);
      }
    }
    refuseTwice(heat.lanes, ({ lane }) => lane, 'lane-twice');
    refuseTwice(heat.lanes, ({ entry }) => entry, 'entry-twice');
    for (const marshal of heat.marshals) find(this.#entries, marshal, 'no-such-entry');
    if (heat.reruns !== null && find(this.#heats, heat.reruns, 'no-such-heat').race !== heat.race) {
      throw new LineError('heat-of-another-race', heat.reruns);
    }
    addOnce(this.#heats, heat);
    this.#journal.open(planOfHeat(track, race, heat));
  }

  #addCrossing(crossing: Crossing): void {
    requireLane(this.#trackSoFar(), crossing.lane);
    find(this.#devices, crossing.device, 'no-such-device');
    const id = crossingId(crossing);
    const known = this.#crossings.get(id);
    if (known === undefined) this.#crossings.set(id, crossing);
    else if (!isSame(known, crossing)) throw new LineError('crossing-differs', crossing.seq);
  }

  #trackSoFar(): Track {
    if (this.#track === null) throw new LineError('track-missing');
    return this.#track;
  }
}

function addOnce<T extends { readonly id: string }>(known: Map<string, T>, item: T): void {
  if (known.has(item.id)) throw new LineError('id-twice', item.id);
  known.set(item.id, item);
}

function find<T>(known: ReadonlyMap<string, T>, id: string, code: LogRefusalCode): T {
  const item = known.get(id);
  if (item === undefined) throw new LineError(code, id);
  return item;
}

function refuseTwice<T>(items: readonly T[], keyOf: (item: T) => string | number, code: LogRefusalCode): void {
  const keys = items.map(keyOf);
  const twice = keys.find((key, i) => keys.indexOf(key) < i);
  if (twice !== undefined) throw new LineError(code, twice);
}

function requireLane(track: Track, lane: number): void {
  if (!track.lanes.some((one) => one.lane === lane)) throw new LineError('no-such-lane', lane);
}

/** Whether two crossings of one key have the same content: then the second says nothing new. */
function isSame(a: Crossing, b: Crossing): boolean {
  return a.lane === b.lane && a.tUs === b.tUs && a.atUs === b.atUs && a.late === b.late;
}
