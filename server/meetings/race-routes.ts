import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import { heatLength } from '../../views/format.ts';
import { RacePage } from '../../views/races.tsx';
import { meetings } from '../../views/texts/en/meetings.ts';
import { urls } from '../../views/urls.ts';
import { selectClasses } from '../drivers/cars-store.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf, logIdOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { secondsText } from '../tracks/typed.ts';
import { selectRaceProgress } from './progress-store.ts';
import { addRace, changeRace, removeRace, runRaceEarlier } from './race-actions.ts';
import { raceSchema, startedRaceSchema } from './race-schemas.ts';
import { type Race, selectOptionalMeeting, selectRaces } from './store.ts';

const t = meetings.race;
const director = { config: { access: 'director' } } as const;

export const raceRoutes: FastifyPluginAsync = async (app) => {
  /** The meeting, its races and classes; `race` is the one of the address, null where the address has none. */
  const find = async (reply: FastifyReply, raceId: string | null) => {
    const club = clubOf(reply.request);
    const meetingId = idOf(reply.request, 'meeting');
    const found = await app.db.readClub(club.id, async (tx) => {
      const meeting = await selectOptionalMeeting(tx, club.id, meetingId);
      if (!meeting) return null;
      const races = await selectRaces(tx, club.id, meetingId);
      const race = races.find((one) => one.id === raceId) ?? null;
      const progress = (await selectRaceProgress(tx, club.id, meetingId)).get(raceId ?? '');
      const classes = (await selectClasses(tx, club.id, { archived: true })).filter(
        (one) => one.archivedAt === null || one.id === race?.classId,
      );
      return { meeting, races, race, classes, fixed: progress?.started ?? false, armed: progress?.armed ?? false };
    });
    if (!found || (raceId !== null && !found.race)) throw new Refusal('notFound');
    return { club, ...found };
  };
  type Found = Awaited<ReturnType<typeof find>>;

  const page = (reply: FastifyReply, { club, ...found }: Found, form: FormState, status = 200) =>
    reply.page(RacePage({ shell: reply.shell(), slug: club.slug, ...found, form }), status);

  app.get('/c/:club/meetings/:meeting/races/new', director, async (_request, reply) => {
    const found = await find(reply, null);
    const classId = found.classes.length === 1 ? found.classes[0]?.id : found.races.at(-1)?.classId;
    const newClass = found.classes.length === 0 ? t.classDefault : '';
    // Two lanes are a family's track: the first to ten laps, and nobody has to measure where cars stopped.
    const kind = found.meeting.trackSettings.lanes.length <= 2 ? 'first' : 'time';
    const name = t.nameDefault(found.races.length + 1);
    return page(reply, found, freshForm({ name, classId: classId ?? '', newClass, kind }));
  });

  app.post('/c/:club/meetings/:meeting/races/new', director, async (request, reply) => {
    const found = await find(reply, null);
    const { club, meeting } = found;
    const read = readForm(raceSchema, request.body);
    if (!read.ok) return page(reply, found, read.form, 422);
    const { heat, ...words } = read.values;
    const added = await addRace(app.db, club.id, meeting.id, words, heat);
    if (added === 'no class') return page(reply, found, withError(read.form, 'newClass', t.classMissing), 422);
    return reply.see(urls.race(club.slug, meeting.id, added.id, 'entries'));
  });

  app.get('/c/:club/meetings/:meeting/races/:race/edit', director, async (request, reply) => {
    const found = await find(reply, logIdOf(request, 'race'));
    return page(reply, found, freshForm(typedRace(found.race as Race)));
  });

  app.post('/c/:club/meetings/:meeting/races/:race/edit', director, async (request, reply) => {
    const found = await find(reply, logIdOf(request, 'race'));
    const { club, meeting } = found;
    // A form that was opened before the first start still brings what a heat is: then it is looked at and refused.
    const brings = typeof request.body === 'object' && request.body !== null && 'kind' in request.body;
    const read = readForm(found.fixed && !brings ? startedRaceSchema : raceSchema, request.body);
    if (!read.ok) return page(reply, found, read.form, 422);
    const { heat = null, ...words } = { heat: undefined, ...read.values };
    const result = await changeRace(app.db, club.id, meeting.id, logIdOf(request, 'race'), words, heat);
    if (result === 'done') {
      await app.recount(club.id, meeting.id);
      return reply.see(urls.meeting(club.slug, meeting.id));
    }
    const again = (field: string, sentence: string) => page(reply, found, withError(read.form, field, sentence), 422);
    if (result === 'no class') return again('newClass', t.classMissing);
    if (result === 'fixed') return again('', t.fixedError);
    return again('heatsPerEntry', t.fewerThanRun(result.fewerThanRun));
  });

  app.post('/c/:club/meetings/:meeting/races/:race/delete', director, async (request, reply) => {
    const { club, meeting } = await find(reply, logIdOf(request, 'race'));
    const result = await removeRace(app.db, club.id, meeting.id, logIdOf(request, 'race'));
    if (result !== 'done') throw new Refusal('stale', result === 'armed' ? t.cannotDelete : t.marshalsElsewhere);
    return reply.see(urls.meeting(club.slug, meeting.id));
  });

  app.post('/c/:club/meetings/:meeting/races/:race/earlier', director, async (request, reply) => {
    const { club, meeting } = await find(reply, logIdOf(request, 'race'));
    await runRaceEarlier(app.db, club.id, meeting.id, logIdOf(request, 'race'));
    return reply.see(`${urls.meeting(club.slug, meeting.id)}#races`);
  });
};

/** The form of a race with what it begins with. */
function typedRace(race: Race): Record<string, string> {
  const length = (ms: number | null) => (ms === null ? '' : heatLength(ms));
  const number = (value: number | null) => (value === null ? '' : String(value));
  const kind = race.format === 'laps' ? 'laps' : race.firstTo === null ? 'time' : 'first';
  const typed: Record<string, string> = {
    name: race.name,
    classId: race.classId,
    newClass: '',
    kind,
    minLap: race.minLapUs === null ? '' : secondsText(race.minLapUs),
    missing: race.missing,
    heatsPerEntry: number(race.heatsPerEntry),
    marshals: String(race.marshals),
    countdown: String(Math.round(race.countdownMs / 1000)),
    driveLimit: race.driveLimit === null ? '' : String(race.driveLimit / 10),
  };
  if (race.standingFastest) typed.standingFastest = 'on';
  if (kind === 'time') typed.duration = length(race.durationMs);
  if (kind === 'first') Object.assign(typed, { firstTo: number(race.firstTo), firstLimit: length(race.durationMs) });
  if (kind === 'laps') Object.assign(typed, { laps: number(race.laps), lapsLimit: length(race.limitMs) });
  return typed;
}
