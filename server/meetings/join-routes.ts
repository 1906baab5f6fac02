import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { JoinCodePage, JoinPage, UnknownCodePage } from '../../views/join.tsx';
import { meetings } from '../../views/texts/en/meetings.ts';
import { idField, readIdField, urls } from '../../views/urls.ts';
import { tidyJoinCode } from '../accounts/tokens.ts';
import { selectCars } from '../drivers/cars-store.ts';
import { selectDrivers } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { clubOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { carField, joinSchema } from './entry-schemas.ts';
import { driverHours, driversTaken, type JoinTrouble, joinMeeting } from './join-actions.ts';
import { type Meeting, selectOptionalMeetingByJoinCode, selectRaces, selectSlugsByJoinCode } from './store.ts';
import { countTries } from './tries.ts';

const t = meetings.join;
const everyone = { config: { access: 'everyone' } } as const;
const minuteUs = 60_000_000;

export const joinRoutes: FastifyPluginAsync = async (app) => {
  // A code has almost 30 random bits: at 10 wrong ones a minute a night of guessing finds none.
  const wrongCodes = countTries(10, minuteUs);
  const newDrivers = countTries(3, 60 * minuteUs);
  // A whole club may share one address; a flood of invented drivers may not.
  const newDriversHere = countTries(60, 60 * minuteUs);

  /** The meeting under a code; a wrong one counts against its source, and after ten nothing is looked up for a minute. */
  const byCode = async <T>(request: FastifyRequest, code: string, look: (code: string) => Promise<T | null>) => {
    const now = app.clock.nowUs();
    if (wrongCodes.spent(request.ip, now)) throw new Refusal('tooMany', t.tooMany);
    const found = await look(code);
    if (found === null) wrongCodes.note(request.ip, now);
    return found;
  };
  const meetingByCode = (request: FastifyRequest, code: string) => {
    const club = clubOf(request);
    return byCode(request, tidyJoinCode(code), (tidy) =>
      app.db.readClub(club.id, (tx) => selectOptionalMeetingByJoinCode(tx, club.id, tidy)),
    );
  };

  app.get('/j/:code', everyone, async (request, reply) => {
    const code = tidyJoinCode((request.params as { code: string }).code);
    const slug = await byCode(request, code, async () => (await selectSlugsByJoinCode(app.db, code))[0] ?? null);
    if (slug === null) return reply.page(UnknownCodePage({ shell: reply.shell() }), 404);
    return reply.redirect(`${urls.inClub(slug, 'join')}?code=${encodeURIComponent(code)}`, 302);
  });

  const codePage = (reply: FastifyReply, form: FormState, status = 200) =>
    reply.page(JoinCodePage({ shell: reply.shell(), slug: clubOf(reply.request).slug, form }), status);

  const joinPage = async (reply: FastifyReply, meeting: Meeting, form: FormState, status = 200) => {
    const club = clubOf(reply.request);
    const { visitor } = reply.request;
    const found = await app.db.readClub(club.id, async (tx) => {
      const taken = await driversTaken(tx, meeting.id, visitor);
      const drivers = (await selectDrivers(tx, club.id)).filter((driver) => !taken.has(driver.id));
      return {
        races: await selectRaces(tx, club.id, meeting.id),
        cars: await selectCars(tx, club.id),
        drivers,
        returning: drivers.find((driver) => driver.id === visitor?.driverId) ?? null,
      };
    });
    const code = meeting.joinCode ?? '';
    const props = { shell: reply.shell(), slug: club.slug, meeting, code, ...found, form, carField };
    return reply.page(JoinPage(props), status);
  };

  app.get('/c/:club/join', everyone, async (request, reply) => {
    const { code } = request.query as { code?: string };
    if (typeof code !== 'string' || code.trim() === '') return codePage(reply, freshForm());
    const meeting = await meetingByCode(request, code);
    if (!meeting) return codePage(reply, withError(freshForm({ code }), 'code', t.codeWrong), 422);
    if (hasJoined(request, meeting)) return reply.redirect(myNight(request, meeting), 302);
    return joinPage(reply, meeting, freshForm());
  });

  app.post('/c/:club/join', everyone, async (request, reply) => {
    const club = clubOf(request);
    const typedCode = (request.body as { code?: unknown } | undefined)?.code;
    const meeting = await meetingByCode(request, typeof typedCode === 'string' ? typedCode : '');
    if (!meeting) return codePage(reply, withError(freshForm(), 'code', t.codeWrong), 422);
    // Sent twice: the first one did the work.
    if (hasJoined(request, meeting)) return reply.see(myNight(request, meeting));
    // A device that runs the night would lose its own session.
    if (request.visitor && request.visitor.role !== 'driver') return joinPage(reply, meeting, freshForm(), 409);
    const races = await app.db.readClub(club.id, (tx) => selectRaces(tx, club.id, meeting.id));
    const read = readForm(joinSchema(races.map((race) => idField(race.id))), request.body);
    if (!read.ok) return joinPage(reply, meeting, read.form, 422);
    const { driverId, nickname, paceAnswers, raceFields, carOf } = read.values;
    const now = app.clock.nowUs();
    const device = deviceOf(request);
    if (nickname !== null && (newDrivers.spent(device, now) || newDriversHere.spent(request.ip, now))) {
      throw new Refusal('tooMany', t.tooManyDrivers);
    }
    const joined = await joinMeeting(app.db, club.id, meeting.id, {
      code: meeting.joinCode ?? '',
      driverId,
      nickname,
      paceAnswers,
      session: request.visitor,
      races: raceFields.map((field) => ({ id: readIdField(field) ?? '', carId: carOf(field) ?? '' })),
    });
    if (typeof joined === 'string' || 'carIn' in joined) {
      return joinPage(reply, meeting, withTrouble(read.form, joined), 422);
    }
    if (nickname !== null) {
      newDrivers.note(device, now);
      newDriversHere.note(request.ip, now);
    }
    if (joined.secret !== null) reply.signIn(joined.secret, driverHours);
    return reply.see(myNight(request, meeting));
  });
};

/** Whether this browser is a driver of the meeting already. */
const hasJoined = ({ visitor }: FastifyRequest, meeting: Meeting) =>
  visitor?.driverId != null && visitor.meetingId === meeting.id;

const myNight = (request: FastifyRequest, meeting: Meeting) => urls.meeting(clubOf(request).slug, meeting.id, 'me');

/** A browser by the cookie that its first form was bound to: people of one household share an address. */
function deviceOf({ cookies, ip }: FastifyRequest): string {
  return cookies.lw_pre ?? cookies['__Host-lw_pre'] ?? ip;
}

function withTrouble(form: FormState, trouble: JoinTrouble): FormState {
  if (typeof trouble !== 'string') return withError(form, carField(idField(trouble.carIn)), t.carWrong);
  switch (trouble) {
    case 'code':
      return withError(form, '', t.codeWrong);
    case 'full':
      return withError(form, '', t.full);
    case 'name taken':
      return withError(form, 'nickname', t.nameTaken);
    case 'name missing':
      return withError(form, 'nickname', t.nameMissing);
    case 'driver taken':
      return withError(form, 'driverId', t.taken);
    case 'race missing':
      return withError(form, 'raceIds', t.raceMissing);
  }
}
