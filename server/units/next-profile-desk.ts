import type { FastifyInstance } from 'fastify';
import { isoDay } from '../../views/format.ts';
import { selectMeetings } from '../meetings/store.ts';
import { type Conversion, convertProfile } from '../profiles/convert/convert.ts';
import { readSheet } from '../profiles/convert/sheet-schema.ts';
import { selectOptionalInUse } from '../profiles/in-use-store.ts';
import { underLimit } from '../profiles/model/limit.ts';
import type { Profile } from '../profiles/model/profile.ts';
import { type NextHeat, nextHeatOf, type Serves } from './next-heat.ts';
import type { Unit } from './store.ts';

export type NextProfile =
  | { readonly kind: 'noHolder' }
  | { readonly kind: 'noHeat' }
  | { readonly kind: 'nothingChosen'; readonly next: NextHeat }
  | {
      readonly kind: 'found';
      readonly next: NextHeat;
      /** As the unit is to be set: within the race limit and its own. */
      readonly profile: Profile;
      /** Whether the race holds maximum drive below what the driver dialled in. */
      readonly isLimited: boolean;
      /** What became of it on the way to the unit; null for one whose limits nobody typed in. */
      readonly conversion: Conversion<Profile> | null;
    };

/** A night that began yesterday goes on past midnight. */
const pastMidnightUs = 6 * 3_600_000_000;

/** What the next driver of a unit has dialled in, as the unit is to be set. */
export async function nextProfile(app: FastifyInstance, unit: Unit): Promise<NextProfile> {
  const serves = servesOf(unit);
  if (!serves) return { kind: 'noHolder' };
  const found = await nextTonight(app, unit, serves);
  if (!found) return { kind: 'noHeat' };
  const { next, trackId } = found;
  const { clubId } = unit;
  const place = { carId: next.entry.carId, classId: next.race.classId, trackId, lane: next.lane };
  const inUse = await app.db.readClub(clubId, (tx) =>
    selectOptionalInUse(tx, clubId, { ...place, driverId: next.entry.driverId }),
  );
  if (!inUse) return { kind: 'nothingChosen', next };
  const limited = underLimit(inUse.profile, next.race.driveLimit);
  const sheet = unit.sheet === null ? null : readSheet(unit.sheet);
  const conversion = sheet?.ok ? convertProfile(limited, sheet.sheet) : null;
  const isLimited = limited.maxDrive < inUse.profile.maxDrive;
  return { kind: 'found', next, profile: conversion?.profile ?? limited, isLimited, conversion };
}

function servesOf({ lane, driverId }: Unit): Serves | null {
  if (lane !== null) return { lane };
  return driverId === null ? null : { driverId };
}

/** The next heat of the meetings of tonight, which the unit's own track may narrow down. */
async function nextTonight(
  app: FastifyInstance,
  { clubId, trackId }: Unit,
  serves: Serves,
): Promise<{ next: NextHeat; trackId: string } | null> {
  const nowUs = app.clock.nowUs();
  const days = (zone: string) => [nowUs, nowUs - pastMidnightUs].map((us) => isoDay(new Date(us / 1000), zone));
  const meetings = await app.db.readClub(clubId, (tx) => selectMeetings(tx, clubId));
  for (const meeting of meetings) {
    const isTonight = days(meeting.zone).includes(meeting.date);
    if (!isTonight || (trackId !== null && meeting.trackId !== trackId)) continue;
    const now = await app.watches.now(clubId, meeting.id);
    const next = now && nextHeatOf(now, serves);
    if (next) return { next, trackId: meeting.trackId };
  }
  return null;
}
