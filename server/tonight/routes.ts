import type { FastifyPluginAsync, FastifyRequest } from 'fastify';
import { lookOf } from '../../views/night-lanes.ts';
import { type Night, ResultsListPage, TonightPage } from '../../views/tonight.tsx';
import { urls } from '../../views/urls.ts';
import { pickMeeting } from '../meetings/pick-meeting.ts';
import { selectEntries, selectMeetings, selectRaces } from '../meetings/store.ts';
import { clubOf, todayIn } from '../plugins/club.ts';
import { stageHeats } from '../rotation/heat-stage.ts';
import { selectHeatMarks, selectHeatPlans } from '../rotation/store.ts';
import { selectLanes } from '../tracks/store.ts';

const everyone = { config: { access: 'everyone' } } as const;

/** The club's first page, and short ways to the pages of tonight's meeting. */
export const tonightRoutes: FastifyPluginAsync = async (app) => {
  const todayOf = (request: FastifyRequest) => todayIn(app)(clubOf(request).zone);

  app.get('/c/:club', everyone, async (request, reply) => {
    const club = clubOf(request);
    const today = todayOf(request);
    const night = await app.db.readClub(club.id, async (tx): Promise<Night | null> => {
      const meeting = pickMeeting(await selectMeetings(tx, club.id), today);
      if (!meeting) return null;
      const lanes = await selectLanes(tx, club.id, meeting.trackId);
      return {
        meeting,
        races: await selectRaces(tx, club.id, meeting.id),
        entries: await selectEntries(tx, club.id, meeting.id),
        heats: stageHeats(
          await selectHeatPlans(tx, club.id, meeting.id),
          await selectHeatMarks(tx, club.id, meeting.id),
        ),
        lanes: meeting.trackSettings.lanes.map(({ lane }) => lookOf({ lanes }, lane)),
      };
    });
    return reply.page(TonightPage({ shell: reply.shell(), slug: club.slug, sample: club.sample, today, night }));
  });

  for (const path of ['control', 'timekeeper', 'me']) {
    app.get(`/c/:club/${path}`, everyone, async (request, reply) => {
      const club = clubOf(request);
      const meetings = await app.db.readClub(club.id, (tx) => selectMeetings(tx, club.id));
      const tonight = pickMeeting(meetings, todayOf(request));
      // A driver's "my night" is the meeting they joined.
      const joined = path === 'me' ? meetings.find((one) => one.id === request.visitor?.meetingId) : undefined;
      // One's own device stays signed in beyond that night: then tonight's must be joined first.
      const isOver = joined === undefined || (tonight !== null && tonight.date > joined.date);
      if (path === 'me' && request.visitor?.role === 'driver' && isOver) {
        return reply.redirect(urls.inClub(club.slug, 'join'), 302);
      }
      const meeting = joined ?? tonight;
      return reply.redirect(meeting ? urls.meeting(club.slug, meeting.id, path) : urls.club(club.slug), 302);
    });
  }

  app.get('/c/:club/results', everyone, async (request, reply) => {
    const club = clubOf(request);
    const meetings = await app.db.readClub(club.id, (tx) => selectMeetings(tx, club.id));
    return reply.page(ResultsListPage({ shell: reply.shell(), slug: club.slug, meetings }));
  });
};
