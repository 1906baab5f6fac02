import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import { EntriesPage } from '../../views/entries.tsx';
import { meetings } from '../../views/texts/en/meetings.ts';
import { urls } from '../../views/urls.ts';
import { selectCars } from '../drivers/cars-store.ts';
import { selectDrivers } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf, logIdOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { mayDrive } from './car-choice.ts';
import { addEntries, changeEntry, mostDrivers, type NameTrouble } from './entry-actions.ts';
import { addEntriesSchema, changeEntrySchema } from './entry-schemas.ts';
import { countMeetingsByDriver, selectEntryUses, selectRaceProgress } from './progress-store.ts';
import { selectEntries, selectOptionalMeeting, selectRaces } from './store.ts';

const t = meetings.entries;
const director = { config: { access: 'director' } } as const;

export const entryRoutes: FastifyPluginAsync = async (app) => {
  const page = async (reply: FastifyReply, form: FormState, status = 200) => {
    const club = clubOf(reply.request);
    const meetingId = idOf(reply.request, 'meeting');
    const raceId = logIdOf(reply.request, 'race');
    const found = await app.db.readClub(club.id, async (tx) => {
      const meeting = await selectOptionalMeeting(tx, club.id, meetingId);
      const race = (await selectRaces(tx, club.id, meetingId)).find((one) => one.id === raceId);
      if (!meeting || !race) return null;
      const uses = await selectEntryUses(tx, club.id, meetingId);
      const cars = await selectCars(tx, club.id);
      const own = (await selectEntries(tx, club.id, meetingId)).filter((entry) => entry.raceId === raceId);
      const entered = new Set(own.map((entry) => entry.driverId));
      const often = await countMeetingsByDriver(tx, club.id);
      return {
        meeting,
        race,
        entries: own.map((entry) => ({
          ...entry,
          heats: uses.get(entry.id)?.driving ?? 0,
          removable: !uses.has(entry.id),
          cars: cars.filter((car) => mayDrive(car, race.classId, entry.driverId)),
        })),
        // Regulars first; the sort is stable, so that equals stay in order of their names.
        others: (await selectDrivers(tx, club.id))
          .filter((driver) => !entered.has(driver.id))
          .sort((a, b) => (often.get(b.id) ?? 0) - (often.get(a.id) ?? 0)),
        drawn: ((await selectRaceProgress(tx, club.id, meetingId)).get(raceId)?.heats ?? 0) > 0,
      };
    });
    if (!found) throw new Refusal('notFound');
    return reply.page(EntriesPage({ shell: reply.shell(), slug: club.slug, ...found, form }), status);
  };

  app.get('/c/:club/meetings/:meeting/races/:race/entries', director, (_request, reply) => page(reply, freshForm()));

  app.post('/c/:club/meetings/:meeting/races/:race/entries', director, async (request, reply) => {
    const club = clubOf(request);
    const meetingId = idOf(request, 'meeting');
    const raceId = logIdOf(request, 'race');
    const read = readForm(addEntriesSchema, request.body);
    if (!read.ok) return page(reply, read.form, 422);
    const result = await addEntries(app.db, club.id, meetingId, raceId, read.values);
    if (result === 'done') return reply.see(urls.race(club.slug, meetingId, raceId, 'entries'));
    return page(
      reply,
      withError(read.form, 'names', result === 'full' ? t.tooMany(mostDrivers) : nameSentence(result)),
      422,
    );
  });

  app.post('/c/:club/meetings/:meeting/entries/:entry', director, async (request, reply) => {
    const club = clubOf(request);
    const meetingId = idOf(request, 'meeting');
    const read = readForm(changeEntrySchema, request.body);
    if (!read.ok) throw new Refusal('malformed');
    const result = await changeEntry(app.db, club.id, meetingId, logIdOf(request, 'entry'), read.values);
    if (result === 'in use') throw new Refusal('stale', t.cannotRemove);
    return reply.see(`${urls.race(club.slug, meetingId, result.raceId, 'entries')}#entries`);
  });
};

function nameSentence({ name, trouble }: NameTrouble): string {
  return trouble === 'archived' ? t.nameArchived(name) : t.nameTaken(name);
}
