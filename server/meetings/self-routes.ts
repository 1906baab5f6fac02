import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { SelfPage } from '../../views/join.tsx';
import { meetings } from '../../views/texts/en/meetings.ts';
import { readIdField, urls } from '../../views/urls.ts';
import { selectCars } from '../drivers/cars-store.ts';
import { selectOptionalDriver } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { mayDrive } from './car-choice.ts';
import { changeOwnEntrySchema, renameSchema } from './entry-schemas.ts';
import { changeOwnEntry, renameSelf } from './join-actions.ts';
import { selectEntryUses, selectRaceProgress } from './progress-store.ts';
import { selectEntries, selectOptionalMeeting, selectRaces } from './store.ts';

const driver = { config: { access: 'driver' } } as const;

/** What a driver may change about themselves in the meeting they joined, and nothing else. */
export const selfRoutes: FastifyPluginAsync = async (app) => {
  const selfOf = (request: FastifyRequest) => {
    const meetingId = idOf(request, 'meeting');
    const driverId = request.visitor?.driverId;
    if (!driverId || request.visitor?.meetingId !== meetingId) throw new Refusal('notAllowedDriver');
    return { club: clubOf(request), meetingId, driverId };
  };

  const page = async (reply: FastifyReply, form: FormState, status = 200) => {
    const { club, meetingId, driverId } = selfOf(reply.request);
    const found = await app.db.readClub(club.id, async (tx) => {
      const meeting = await selectOptionalMeeting(tx, club.id, meetingId);
      const self = await selectOptionalDriver(tx, club.id, driverId);
      if (!meeting || !self) return null;
      const races = await selectRaces(tx, club.id, meetingId);
      const uses = await selectEntryUses(tx, club.id, meetingId);
      const progress = await selectRaceProgress(tx, club.id, meetingId);
      const cars = await selectCars(tx, club.id);
      const entries = (await selectEntries(tx, club.id, meetingId)).filter((entry) => entry.driverId === driverId);
      const classOf = new Map(races.map((race) => [race.id, race.classId]));
      return {
        meeting,
        driver: self,
        races,
        entries: entries.map((entry) => ({
          ...entry,
          cars: cars.filter((car) => mayDrive(car, classOf.get(entry.raceId) ?? '', driverId)),
          onPlan: (uses.get(entry.id)?.driving ?? 0) > 0,
          drawn: (progress.get(entry.raceId)?.heats ?? 0) > 0,
        })),
      };
    });
    if (!found) throw new Refusal('notFound');
    return reply.page(SelfPage({ shell: reply.shell(), slug: club.slug, ...found, form }), status);
  };

  app.get('/c/:club/meetings/:meeting/me/edit', driver, (_request, reply) => page(reply, freshForm()));

  app.post('/c/:club/meetings/:meeting/me/edit', driver, async (request, reply) => {
    const { club, meetingId, driverId } = selfOf(request);
    const read = readForm(renameSchema, request.body);
    if (!read.ok) return page(reply, read.form, 422);
    const result = await renameSelf(
      app.db,
      club.id,
      meetingId,
      driverId,
      read.values.nickname,
      read.values.racedBefore,
    );
    if (result === 'name taken') {
      return page(reply, withError(read.form, 'nickname', meetings.self.nicknameTaken), 422);
    }
    return reply.see(urls.meeting(club.slug, meetingId, 'me/edit'));
  });

  app.post('/c/:club/meetings/:meeting/me/entry', driver, async (request, reply) => {
    const { club, meetingId, driverId } = selfOf(request);
    const read = readForm(changeOwnEntrySchema, request.body);
    if (!read.ok) throw new Refusal('malformed');
    await changeOwnEntry(app.db, club.id, meetingId, driverId, {
      ...read.values,
      id: readIdField(read.values.id) ?? '',
    });
    return reply.see(urls.meeting(club.slug, meetingId, 'me/edit'));
  });
};
