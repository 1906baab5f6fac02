import type { ClubTx, Database } from '../../db/client.ts';
import { newId } from '../accounts/tokens.ts';
import { insertClass, selectClasses } from '../drivers/cars-store.ts';
import { Refusal } from '../errors.ts';
import { nameKey } from '../shared/names.ts';
import { changeNight } from './actions.ts';
import { mostHeatsRun, selectEntryUses, selectRaceProgress } from './progress-store.ts';
import type { RaceFormat } from './race-schemas.ts';
import {
  clearCredits,
  deleteRace,
  insertRace,
  nextMeetingId,
  selectEntries,
  selectRaces,
  updateRace,
} from './store.ts';

export type RaceWords = {
  name: string;
  classId: string;
  /** A class to make, or to find by its name; comes before `classId`. */
  newClass: string | null;
  minLapUs: number | null;
  missing: 'zero' | 'mean';
  standingFastest: boolean;
  heatsPerEntry: number | null;
  marshals: number;
  countdownMs: number;
  /** Race limit: the most drive, in permille, that any profile may give; null for none. */
  driveLimit: number | null;
};

/** The class that the words name; null when they name none. */
async function classOf(tx: ClubTx, clubId: string, words: RaceWords): Promise<string | null> {
  const classes = await selectClasses(tx, clubId, { archived: true });
  if (words.newClass === null) return classes.some((one) => one.id === words.classId) ? words.classId : null;
  const key = nameKey(words.newClass);
  const known = classes.find((one) => nameKey(one.name) === key && one.archivedAt === null);
  if (known) return known.id;
  const id = newId();
  await insertClass(tx, { clubId, id, name: words.newClass });
  return id;
}

function columnsOf(words: RaceWords, classId: string) {
  const { newClass: _, ...rest } = words;
  return { ...rest, classId };
}

/** Adds a race after the others. */
export async function addRace(
  db: Database,
  clubId: string,
  meetingId: string,
  words: RaceWords,
  heat: RaceFormat,
): Promise<{ id: string } | 'no class'> {
  return changeNight(db, clubId, meetingId, async (tx) => {
    const classId = await classOf(tx, clubId, words);
    if (classId === null) return 'no class';
    const races = await selectRaces(tx, clubId, meetingId);
    const id = await nextMeetingId(tx, clubId, meetingId, 'r');
    const ordinal = Math.max(0, ...races.map((race) => race.ordinal)) + 1;
    await insertRace(tx, { clubId, meetingId, id, ordinal, ...columnsOf(words, classId), ...heat });
    return { id };
  });
}

/**
 * Changes a race.
 *
 * @param heat what a heat is; null leaves it. Refused once a heat of the race was started
 */
export async function changeRace(
  db: Database,
  clubId: string,
  meetingId: string,
  id: string,
  words: RaceWords,
  heat: RaceFormat | null,
): Promise<'done' | 'no class' | 'fixed' | { fewerThanRun: number }> {
  return changeNight(db, clubId, meetingId, async (tx) => {
    const race = (await selectRaces(tx, clubId, meetingId)).find((one) => one.id === id);
    if (!race) throw new Refusal('notFound');
    const progress = (await selectRaceProgress(tx, clubId, meetingId)).get(id);
    if (progress?.started && heat && !sameFormat(race, heat)) return 'fixed';
    if (words.heatsPerEntry !== null && words.heatsPerEntry !== race.heatsPerEntry) {
      const run = await mostHeatsRun(tx, clubId, meetingId, id);
      if (words.heatsPerEntry < run) return { fewerThanRun: run };
    }
    const classId = await classOf(tx, clubId, words);
    if (classId === null) return 'no class';
    await updateRace(tx, { clubId, meetingId, id }, { ...columnsOf(words, classId), ...heat });
    // Laps given by hand are no milliseconds.
    if (heat && heat.format !== race.format) await clearCredits(tx, { clubId, meetingId, id });
    return 'done';
  });
}

function sameFormat(race: { [K in keyof RaceFormat]: unknown }, heat: RaceFormat): boolean {
  return (Object.keys(heat) as (keyof RaceFormat)[]).every((key) => race[key] === heat[key]);
}

/** Takes a race away with its entries and planned heats, as long as none of its heats was ever armed. */
export async function removeRace(
  db: Database,
  clubId: string,
  meetingId: string,
  id: string,
): Promise<'done' | 'armed' | 'marshals elsewhere'> {
  return changeNight(db, clubId, meetingId, async (tx) => {
    const progress = (await selectRaceProgress(tx, clubId, meetingId)).get(id);
    if (progress?.armed) return 'armed';
    const uses = await selectEntryUses(tx, clubId, meetingId);
    const entries = (await selectEntries(tx, clubId, meetingId)).filter((entry) => entry.raceId === id);
    if (entries.some((entry) => uses.get(entry.id)?.marshalling.some((race) => race !== id))) {
      return 'marshals elsewhere';
    }
    await deleteRace(tx, { clubId, meetingId, id });
    return 'done';
  });
}

/** Lets a race be run before the one that now comes just before it. */
export async function runRaceEarlier(db: Database, clubId: string, meetingId: string, id: string): Promise<void> {
  await changeNight(db, clubId, meetingId, async (tx) => {
    const races = await selectRaces(tx, clubId, meetingId);
    const from = races.findIndex((race) => race.id === id);
    if (from < 0) throw new Refusal('notFound');
    if (from === 0) return;
    const [moved] = races.splice(from, 1);
    if (moved) races.splice(from - 1, 0, moved);
    for (const [i, race] of races.entries()) {
      if (race.ordinal !== i + 1) await updateRace(tx, { clubId, meetingId, id: race.id }, { ordinal: i + 1 });
    }
  });
}
