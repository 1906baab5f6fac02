import type { HeatFormat } from '../heats/plan.ts';
import { lapGoal } from '../heats/plan.ts';
import type { Entry, Heat, HeatLane, MeetingFacts, Race, Track } from '../results/meeting-facts.ts';
import { draw } from '../rotation/draw.ts';
import { drawRequest } from '../rotation/rotation.ts';
import { type DriverKey, profiles, type SampleTrack, type SampleWords, tracks } from './club.ts';
import type { EveningPlan, RacePlan } from './season.ts';

/** A meeting as it is before its first heat, with who stands behind each entry. */
export type LineUp = { readonly facts: MeetingFacts; readonly drivers: ReadonlyMap<string, DriverKey> };

/** The track as a meeting keeps it. */
export function trackOf(words: SampleWords, plan: Pick<EveningPlan, 'track'>): Track {
  const { lanes, start, holdRollUs, endRollUs } = tracks[plan.track];
  return {
    name: words.tracks[plan.track],
    lanes: lanes.map(({ lengthMm, minLapUs }, i) => ({ lane: i + 1, lengthMm, minLapUs })),
    start,
    holdRollUs,
    endRollUs,
  };
}

/** Lays down an evening: races, entries in the order of sign-up, and the rotation with its marshals. */
export function lineUp(words: SampleWords, plan: EveningPlan, date: string, zone: string): LineUp {
  const track = tracks[plan.track];
  const entries: Entry[] = [];
  const drivers = new Map<string, DriverKey>();
  for (const [r, race] of plan.races.entries()) {
    for (const key of race.drivers) {
      const id = `e${entries.length + 1}`;
      const own: { [carClass: string]: string } = words.cars[key];
      entries.push({ id, race: raceId(r), driver: key, car: own[race.carClass] ?? '' });
      drivers.set(id, key);
    }
  }
  const heats: Heat[] = [];
  for (const [r, race] of plan.races.entries()) {
    const own = entries.filter((entry) => entry.race === raceId(r));
    heats.push(...heatsOf(track, race, own, entries, heats.length));
  }
  const present = [...new Set(plan.races.flatMap((race) => race.drivers))];
  const facts: MeetingFacts = {
    meeting: { name: words.evenings[plan.name], date, zone },
    track: trackOf(words, plan),
    drivers: present.map((key) => ({ id: key, nickname: words.drivers[key] })),
    races: plan.races.map((race, r) => raceOf(words, race, raceId(r), track.lanes.length)),
    entries,
    heats,
    devices: [{ ...track.sensor }],
    journal: [],
    crossings: [],
  };
  return { facts, drivers };
}

const raceId = (index: number) => `r${index + 1}`;

function raceOf(words: SampleWords, plan: RacePlan, id: string, lanes: number): Race {
  return {
    id,
    name: words.races[plan.name],
    carClass: words.classes[plan.carClass],
    format: plan.format,
    minLapUs: null,
    missing: 'zero',
    standingFastest: false,
    heatsPerEntry: lanes * plan.runsPerLane,
  };
}

/** @param before how many heats the evening has before these */
function heatsOf(
  track: SampleTrack,
  race: RacePlan,
  own: readonly Entry[],
  all: readonly Entry[],
  before: number,
): Heat[] {
  const { runsPerLane, marshals } = race;
  const drivers = own.map(({ id }) => id);
  const rotation = draw(drawRequest({ drivers, lanes: track.lanes.length, runsPerLane, marshals }));
  const delays = startDelaysMs(track, race, own);
  return rotation.heats.map((seats, h) => {
    const lanes = seats.flatMap((seat, l): HeatLane[] =>
      seat === null ? [] : [{ lane: l + 1, entry: String(seat), delayMs: delays.get(String(seat)) ?? 0 }],
    );
    const posts = (rotation.marshals[h] ?? []).map(String);
    return {
      id: `h${before + h + 1}`,
      race: own[0]?.race ?? '',
      ordinal: h + 1,
      lanes,
      marshals: [...posts, ...helpers(all, own, marshals - posts.length, h)],
      reruns: null,
    };
  });
}

/** Where too few of a race sit out, people who are there for another race stand marshal, in turn. */
function helpers(all: readonly Entry[], own: readonly Entry[], wanted: number, turn: number): string[] {
  const busy = new Set(own.map(({ driver }) => driver));
  const free = all.filter(({ driver }) => !busy.has(driver));
  const count = Math.max(0, Math.min(free.length, wanted));
  return Array.from({ length: count }, (_, i) => free[(turn * count + i) % free.length] as Entry).map(({ id }) => id);
}

/** Start delays by entry, to half a second: the slowest starts at once. */
function startDelaysMs(track: SampleTrack, race: RacePlan, entries: readonly Entry[]): Map<string, number> {
  const laps = lapGoal(race.format) ?? lapsIn(race.format, track.lapUs[race.carClass]);
  const paces = entries.map(({ driver }) => profiles[driver as DriverKey].pace);
  const slowest = Math.max(...paces);
  return new Map(
    entries.map(({ id }, i) => {
      const aheadMs = ((slowest - (paces[i] ?? slowest)) * track.lapUs[race.carClass] * laps) / 1000;
      return [id, Math.round((aheadMs * race.handicap) / 500) * 500];
    }),
  );
}

function lapsIn(format: HeatFormat, lapUs: number): number {
  return format.kind === 'time' ? Math.floor(((format.durationMs ?? 0) * 1000) / lapUs) : format.laps;
}
