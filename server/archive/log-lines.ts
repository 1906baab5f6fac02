import { type Crossing, eventKinds, type HeatEvent, type Ruling } from '../heats/facts.ts';
import { type HeatFormat, startModes } from '../heats/plan.ts';
import type { Device, Driver, Entry, Heat, Meeting, Race, Track } from '../results/meeting-facts.ts';
import type { JsonObject, JsonValue } from '../shared/json-reader.ts';
import {
  anything,
  date,
  flag,
  fromNought,
  fromOne,
  integer,
  listOf,
  objectOf,
  oneOf,
  onlyTrue,
  orNull,
  text,
  valueOf,
} from './fields.ts';
import { LineError } from './refusal.ts';
import { readRulingLine } from './ruling-line.ts';

/** A line of a meeting log by itself: its form is right, what it names is not yet looked up. */
export type LogLine =
  | { readonly type: 'meeting'; readonly value: Meeting }
  | { readonly type: 'track'; readonly value: Track }
  | { readonly type: 'driver'; readonly value: Driver }
  | { readonly type: 'race'; readonly value: Race }
  | { readonly type: 'entry'; readonly value: Entry }
  | { readonly type: 'heat'; readonly value: Heat }
  | { readonly type: 'device'; readonly value: Device }
  | { readonly type: 'crossing'; readonly value: Crossing }
  | { readonly type: 'event'; readonly heat: string; readonly value: HeatEvent }
  | { readonly type: 'ruling'; readonly heat: string; readonly value: Ruling };

/** The only version of the log there is. */
export const logVersion = 1;

/**
 * Reads the form of one line: its type, exactly the keys of that type, the kind and range of every value.
 *
 * @throws LineError
 */
export function readLine(line: JsonValue): LogLine {
  if (!(line instanceof Map)) throw new LineError('not-an-object');
  const type = valueOf(line, 'type', anything);
  const read = typeof type === 'string' && Object.hasOwn(readers, type) ? readers[type] : undefined;
  if (read === undefined) throw new LineError('unknown-type', typeof type === 'string' ? type : '');
  return read(line);
}

/** The key that every line has and that `readLine` has looked at. */
const typed = { type: anything };

const meeting = objectOf({ ...typed, v: integer, name: text, date, zone: text });
const track = objectOf({
  ...typed,
  name: text,
  lanes: listOf(objectOf({ lane: integer, length_mm: fromOne, min_lap_us: fromNought })),
  start: oneOf(startModes),
  hold_roll_us: fromNought,
  end_roll_us: fromNought,
});
const driver = objectOf({ ...typed, id: text, nickname: text });
const raceFields = {
  ...typed,
  id: text,
  name: text,
  class: text,
  format: oneOf(['time', 'laps']),
  min_lap_us: orNull(fromNought),
  missing: oneOf(['zero', 'mean']),
  standing_fastest: flag,
  heats_per_entry: orNull(fromOne),
};
const timeRace = objectOf({ ...raceFields, duration_ms: orNull(fromOne), first_to: orNull(fromOne) });
const lapsRace = objectOf({ ...raceFields, laps: fromOne, limit_ms: orNull(fromOne) });
const entry = objectOf({ ...typed, id: text, race: text, driver: text, car: text });
const heat = objectOf({
  ...typed,
  id: text,
  race: text,
  ordinal: integer,
  lanes: listOf(objectOf({ lane: integer, entry: text, delay_ms: fromNought })),
  marshals: listOf(text),
  reruns: orNull(text),
});
const device = objectOf({ ...typed, id: text, bits: oneOf([32, 64]) });
const event = objectOf({ ...typed, heat: text, n: integer, kind: oneOf(eventKinds), at_us: integer, by: text });
const crossingFields = {
  ...typed,
  device: text,
  boot: text,
  seq: integer,
  lane: integer,
  t_us: integer,
  at_us: integer,
};
const crossing = objectOf(crossingFields);
const lateCrossing = objectOf({ ...crossingFields, late: onlyTrue });

const readers: Readonly<Record<string, (line: JsonObject) => LogLine>> = {
  meeting: (line) => ({ type: 'meeting', value: readMeeting(line) }),
  track: (line) => ({ type: 'track', value: readTrack(line) }),
  driver(line) {
    const { id, nickname } = driver(line, '');
    return { type: 'driver', value: { id, nickname } };
  },
  race: (line) => ({ type: 'race', value: readRace(line) }),
  entry(line) {
    const { id, race, driver, car } = entry(line, '');
    return { type: 'entry', value: { id, race, driver, car } };
  },
  heat: (line) => ({ type: 'heat', value: readHeat(line) }),
  device(line) {
    const { id, bits } = device(line, '');
    return { type: 'device', value: { id, bits } };
  },
  crossing: (line) => ({ type: 'crossing', value: readCrossing(line) }),
  event(line) {
    const { heat, n, kind, at_us: atUs, by } = event(line, '');
    return { type: 'event', heat, value: { n, kind, atUs, by } };
  },
  ruling: (line) => ({ type: 'ruling', ...readRulingLine(line) }),
};

function readMeeting(line: JsonObject): Meeting {
  // A log of another version may have other keys: say that it is one, not which key is unknown.
  const version = line.get('v');
  if (typeof version === 'number' && version !== logVersion) throw new LineError('unknown-version', version);
  const { name, date, zone } = meeting(line, '');
  return { name, date, zone };
}

function readTrack(line: JsonObject): Track {
  const { name, lanes, start, hold_roll_us: holdRollUs, end_roll_us: endRollUs } = track(line, '');
  return {
    name,
    lanes: lanes.map(({ lane, length_mm: lengthMm, min_lap_us: minLapUs }) => ({ lane, lengthMm, minLapUs })),
    start,
    holdRollUs,
    endRollUs,
  };
}

function readRace(line: JsonObject): Race {
  if (valueOf(line, 'format', raceFields.format) === 'laps') {
    const { laps, limit_ms: limitMs, ...race } = lapsRace(line, '');
    return raceOf(race, { kind: 'laps', laps, limitMs });
  }
  const { duration_ms: durationMs, first_to: firstTo, ...race } = timeRace(line, '');
  if (durationMs === null && firstTo === null) throw new LineError('endless-heat');
  return raceOf(race, { kind: 'time', durationMs, firstTo });
}

type RaceFields = Omit<ReturnType<typeof lapsRace>, 'laps' | 'limit_ms'>;

function raceOf(race: RaceFields, format: HeatFormat): Race {
  return {
    id: race.id,
    name: race.name,
    carClass: race.class,
    format,
    minLapUs: race.min_lap_us,
    missing: race.missing,
    standingFastest: race.standing_fastest,
    heatsPerEntry: race.heats_per_entry,
  };
}

function readHeat(line: JsonObject): Heat {
  const { id, race, ordinal, lanes, marshals, reruns } = heat(line, '');
  return {
    id,
    race,
    ordinal,
    lanes: lanes.map(({ lane, entry, delay_ms: delayMs }) => ({ lane, entry, delayMs })),
    marshals,
    reruns,
  };
}

function readCrossing(line: JsonObject): Crossing {
  const late = line.has('late');
  const fields = late ? lateCrossing(line, '') : crossing(line, '');
  const { device, boot, seq, lane, t_us: tUs, at_us: atUs } = fields;
  return { device, boot, seq, lane, tUs, atUs, late };
}
