import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import { MeetingPage } from '../../views/meeting.tsx';
import { CopyMeetingPage, EditMeetingPage, MeetingsPage, NewMeetingPage, NightPage } from '../../views/meetings.tsx';
import { meetings as t } from '../../views/texts/en/meetings.ts';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf, todayIn } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { selectTracks } from '../tracks/store.ts';
import { secondsText } from '../tracks/typed.ts';
import {
  archiveMeeting,
  changeJoining,
  changeMeeting,
  changeNightSettings,
  copyMeeting,
  openMeeting,
  publishMeeting,
} from './actions.ts';
import { selectRaceProgress } from './progress-store.ts';
import { copySchema, joiningSchema, meetingSchema, minLapField, nightSchema, publishSchema } from './schemas.ts';
import { type Meeting, selectEntries, selectMeetings, selectOptionalMeeting, selectRaces } from './store.ts';

const director = { config: { access: 'director' } } as const;

export const meetingRoutes: FastifyPluginAsync = async (app) => {
  const find = async (reply: FastifyReply): Promise<Meeting> => {
    const club = clubOf(reply.request);
    const id = idOf(reply.request, 'meeting');
    const meeting = await app.db.readClub(club.id, (tx) => selectOptionalMeeting(tx, club.id, id));
    if (!meeting) throw new Refusal('notFound');
    return meeting;
  };
  const tracksOf = (reply: FastifyReply) => {
    const club = clubOf(reply.request);
    return app.db.readClub(club.id, (tx) => selectTracks(tx, club.id));
  };
  const today = todayIn(app);

  app.get('/c/:club/meetings', director, async (request, reply) => {
    const club = clubOf(request);
    const meetings = await app.db.readClub(club.id, (tx) => selectMeetings(tx, club.id, { archived: true }));
    return reply.page(MeetingsPage({ shell: reply.shell(), slug: club.slug, meetings }));
  });

  const newPage = async (reply: FastifyReply, form: FormState, status = 200) => {
    const { slug } = clubOf(reply.request);
    return reply.page(NewMeetingPage({ shell: reply.shell(), slug, tracks: await tracksOf(reply), form }), status);
  };

  app.get('/c/:club/meetings/new', director, async (request, reply) =>
    newPage(reply, freshForm({ name: t.form.nameDefault, date: today(clubOf(request).zone) })),
  );

  app.post('/c/:club/meetings/new', director, async (request, reply) => {
    const club = clubOf(request);
    const read = readForm(meetingSchema, request.body);
    if (!read.ok) return newPage(reply, read.form, 422);
    const id = await openMeeting(app.db, club, read.values);
    if (id === null) return newPage(reply, withError(read.form, 'trackId', t.form.noTrack), 422);
    return reply.see(urls.meeting(club.slug, id));
  });

  app.get('/c/:club/meetings/:meeting', director, async (request, reply) => {
    const club = clubOf(request);
    const meeting = await find(reply);
    const night = await app.db.readClub(club.id, async (tx) => ({
      races: await selectRaces(tx, club.id, meeting.id),
      entries: await selectEntries(tx, club.id, meeting.id),
      progress: await selectRaceProgress(tx, club.id, meeting.id),
    }));
    const joinAddress = meeting.joinCode === null ? null : reply.linkTo(urls.join(meeting.joinCode));
    const publicAddress = meeting.published ? reply.linkTo(urls.publicResults(meeting.publicCode)) : null;
    return reply.page(
      MeetingPage({ shell: reply.shell(), slug: club.slug, meeting, ...night, joinAddress, publicAddress }),
    );
  });

  const editPage = async (reply: FastifyReply, form: FormState, status = 200) => {
    const meeting = await find(reply);
    const { slug } = clubOf(reply.request);
    const tracks = await tracksOf(reply);
    return reply.page(EditMeetingPage({ shell: reply.shell(), slug, tracks, form, meeting }), status);
  };

  app.get('/c/:club/meetings/:meeting/edit', director, async (_request, reply) => {
    const { name, date, trackId } = await find(reply);
    return editPage(reply, freshForm({ name, date, trackId }));
  });

  app.post('/c/:club/meetings/:meeting/edit', director, async (request, reply) => {
    const { id } = await find(reply);
    const club = clubOf(request);
    const read = readForm(meetingSchema, request.body);
    if (!read.ok) return editPage(reply, read.form, 422);
    const result = await changeMeeting(app.db, club.id, id, read.values);
    if (result === 'done') return reply.see(urls.meeting(club.slug, id));
    const sentence = result === 'no track' ? t.form.noTrack : t.form.trackHasHeats;
    return editPage(reply, withError(read.form, 'trackId', sentence), 422);
  });

  for (const [path, archived] of [['archive', true] as const, ['restore', false] as const]) {
    app.post(`/c/:club/meetings/:meeting/${path}`, director, async (request, reply) => {
      const { id } = await find(reply);
      const club = clubOf(request);
      await archiveMeeting(app.db, club.id, id, archived);
      return reply.see(urls.meeting(club.slug, id));
    });
  }

  app.post('/c/:club/meetings/:meeting/joining', director, async (request, reply) => {
    const { id } = await find(reply);
    const club = clubOf(request);
    const read = readForm(joiningSchema, request.body);
    if (!read.ok) throw new Refusal('malformed');
    await changeJoining(app.db, club.id, id, read.values.joining);
    return reply.see(`${urls.meeting(club.slug, id)}#joining`);
  });

  app.post('/c/:club/meetings/:meeting/publish', director, async (request, reply) => {
    const { id } = await find(reply);
    const club = clubOf(request);
    const read = readForm(publishSchema, request.body);
    if (!read.ok) throw new Refusal('malformed');
    await publishMeeting(app.db, club.id, id, read.values.published === 'yes');
    return reply.see(`${urls.meeting(club.slug, id)}#publishing`);
  });

  const nightPage = (reply: FastifyReply, meeting: Meeting, form: FormState, status = 200) => {
    const { slug } = clubOf(reply.request);
    const lanes = meeting.trackSettings.lanes.map(({ lane }) => ({ lane, field: minLapField(lane) }));
    return reply.page(NightPage({ shell: reply.shell(), slug, meeting, lanes, form }), status);
  };

  app.get('/c/:club/meetings/:meeting/night', director, async (_request, reply) => {
    const meeting = await find(reply);
    const { startMode, holdRollUs, endRollUs, lanes } = meeting.trackSettings;
    const laps = lanes.map(({ lane, minLapUs }) => [minLapField(lane), secondsText(minLapUs)]);
    const typed = { startMode, holdRoll: secondsText(holdRollUs), endRoll: secondsText(endRollUs) };
    return nightPage(reply, meeting, freshForm({ ...typed, ...Object.fromEntries(laps) }));
  });

  app.post('/c/:club/meetings/:meeting/night', director, async (request, reply) => {
    const meeting = await find(reply);
    const club = clubOf(request);
    const read = readForm(nightSchema(meeting.trackSettings.lanes.map(({ lane }) => lane)), request.body);
    if (!read.ok) return nightPage(reply, meeting, read.form, 422);
    await changeNightSettings(app.db, club.id, meeting.id, read.values);
    await app.recount(club.id, meeting.id);
    return reply.see(`${urls.meeting(club.slug, meeting.id)}#night`);
  });

  const copyPage = async (reply: FastifyReply, form: FormState, status = 200) => {
    const meeting = await find(reply);
    const { slug } = clubOf(reply.request);
    const tracks = await tracksOf(reply);
    return reply.page(CopyMeetingPage({ shell: reply.shell(), slug, tracks, form, meeting }), status);
  };

  app.get('/c/:club/meetings/:meeting/copy', director, async (request, reply) => {
    const { name, trackId } = await find(reply);
    return copyPage(reply, freshForm({ name, trackId, date: today(clubOf(request).zone), entries: 'on' }));
  });

  app.post('/c/:club/meetings/:meeting/copy', director, async (request, reply) => {
    const { id: fromId } = await find(reply);
    const club = clubOf(request);
    const read = readForm(copySchema, request.body);
    if (!read.ok) return copyPage(reply, read.form, 422);
    const id = await copyMeeting(app.db, club, fromId, read.values);
    if (id === null) return copyPage(reply, withError(read.form, 'trackId', t.form.noTrack), 422);
    return reply.see(urls.meeting(club.slug, id));
  });
};
