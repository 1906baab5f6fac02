import type { FastifyPluginAsync } from 'fastify';
import { renderFragment } from '../../views/html.ts';
import { TimekeeperFrame, TimekeeperPage } from '../../views/timekeeper.tsx';
import { newId } from '../accounts/tokens.ts';
import { clubOf } from '../plugins/club.ts';
import { deskOf } from './control-view.ts';
import { meetingOf } from './meeting-of.ts';
import { nextChangeUs } from './next-change.ts';

/** The page on which laps are tapped; what it sends goes to timing. */
export const timekeeperRoutes: FastifyPluginAsync = async (app) => {
  app.get('/c/:club/meetings/:meeting/timekeeper', { config: { access: 'timing' } }, async (request, reply) => {
    const now = await meetingOf(app, request);
    const { slug } = clubOf(request);
    const heat = deskOf(now).current;
    return reply.page(TimekeeperPage({ shell: reply.shell(), slug, now, heat, commandId: newId() }));
  });

  app.get('/c/:club/meetings/:meeting/live/timekeeper', { config: { access: 'timing' } }, async (request, reply) => {
    const { id: clubId, slug } = clubOf(request);
    const { meeting } = await meetingOf(app, request);
    return app.live.stream(request, reply, {
      key: `timekeeper/${clubId}/${meeting.id}`,
      track: { clubId, trackId: meeting.trackId },
      async frame() {
        const now = await app.watches.now(clubId, meeting.id);
        if (!now) return { html: '', nextAtUs: null };
        const html = renderFragment(TimekeeperFrame({ slug, now, heat: deskOf(now).current }));
        return { html, nextAtUs: nextChangeUs(now) };
      },
    });
  });
};
