import type { MeetingFacts } from '../results/meeting-facts.ts';
import { nameKey } from '../shared/names.ts';

/**
 * What a sound log may hold and the database cannot: a name by which rows are found that is longer than an index takes,
 * a lane number beyond 32 bits, a day before year 1, more lanes or marshals than any track has.
 */
export type BeyondLimits = 'long-name' | 'lane-number' | 'many-lanes' | 'many-marshals' | 'early-date';

export const mostLanes = 100;
export const mostMarshals = 100;
/** Of an id or nickname as it is stored; an index takes about 2,700 bytes for all columns together. */
export const mostNameBytes = 500;

const largestInteger = 2 ** 31 - 1;

/** Why a meeting cannot be kept, or null. */
export function beyondLimits(facts: MeetingFacts): BeyondLimits | null {
  const { meeting, track, heats, drivers } = facts;
  if (track.lanes.length > mostLanes) return 'many-lanes';
  if (track.lanes.some(({ lane }) => Math.abs(lane) > largestInteger)) return 'lane-number';
  if (heats.some(({ marshals }) => marshals.length > mostMarshals)) return 'many-marshals';
  if (meeting.date < '0001') return 'early-date';
  const names = [
    ...drivers.flatMap(({ nickname }) => [nickname, nameKey(nickname)]),
    ...facts.races.map(({ id }) => id),
    ...facts.entries.map(({ id }) => id),
    ...heats.map(({ id }) => id),
    ...facts.devices.map(({ id }) => id),
    ...new Set(facts.crossings.map(({ boot }) => boot)),
  ];
  return names.some((name) => storedBytes(name) > mostNameBytes) ? 'long-name' : null;
}

/** Length of a text in JSON escapes, as it is stored. */
function storedBytes(text: string): number {
  return new TextEncoder().encode(JSON.stringify(text)).length;
}
