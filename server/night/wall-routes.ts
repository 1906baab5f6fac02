import type { FastifyPluginAsync } from 'fastify';
import { WallPage } from '../../views/wall.tsx';
import { WallSetup } from '../../views/wall-setup.tsx';
import { wallSizeCss } from '../../views/wall-size.ts';
import { clubOf } from '../plugins/club.ts';
import { meetingOf } from './meeting-of.ts';
import { screenQuery, sizeQuery } from './wall-schemas.ts';
import { wallTopic } from './wall-topic.ts';
import { wallOf } from './wall-view.ts';

const base = '/c/:club/meetings/:meeting';
const everyone = { config: { access: 'everyone' } } as const;

/** The screen for everyone in the hall. */
export const wallRoutes: FastifyPluginAsync = async (app) => {
  app.get(`${base}/wall`, everyone, async (request, reply) => {
    const { theme, ...screen } = screenQuery.parse(request.query);
    const now = await meetingOf(app, request);
    return reply.page(
      WallPage({
        shell: { ...reply.shell(), theme },
        slug: clubOf(request).slug,
        origin: reply.linkTo(''),
        now,
        wall: wallOf(now),
        sizeSheet: `/assets/wall-size.css?in=${screen.in}&m=${screen.m}&lanes=${now.lanes.length}`,
      }),
    );
  });

  app.get(`${base}/wall/setup`, everyone, async (request, reply) => {
    const { meeting } = await meetingOf(app, request);
    const screen = screenQuery.parse(request.query);
    return reply.page(WallSetup({ shell: reply.shell(), slug: clubOf(request).slug, meeting, screen }));
  });

  app.get(`${base}/live/wall`, everyone, async (request, reply) => {
    const { meeting } = await meetingOf(app, request);
    return app.live.stream(request, reply, wallTopic(app.watches, clubOf(request), meeting, reply.linkTo('')));
  });

  app.get('/assets/wall-size.css', everyone, async (request, reply) => {
    const screen = sizeQuery.parse(request.query);
    return reply.type('text/css; charset=utf-8').send(wallSizeCss(screen.in, screen.m, screen.lanes));
  });
};
