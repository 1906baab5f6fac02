import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { CardPage } from '../../views/card.tsx';
import { readIdField, urls } from '../../views/urls.ts';
import { selectOptionalDriver } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { mayKeep } from '../profiles/owner.ts';
import { type CardReader, cardTopic, dialInFor, entriesOf } from './card-topic.ts';
import { cardOf } from './card-view.ts';
import type { MeetingNow } from './meeting-now.ts';
import { meetingOf } from './meeting-of.ts';

const base = '/c/:club/meetings/:meeting';
const everyone = { config: { access: 'everyone' } } as const;
const driver = { config: { access: 'driver' } } as const;

/** A driver's own night: the driver's own page, and the same for everyone to read. */
export const cardRoutes: FastifyPluginAsync = async (app) => {
  /** The driver who is signed in for this meeting. */
  const selfOf = (request: FastifyRequest): CardReader => {
    const { driverId, meetingId } = request.visitor ?? {};
    if (!driverId || meetingId !== idOf(request, 'meeting')) throw new Refusal('notAllowedDriver');
    return { driverId, own: true, keeps: true };
  };

  /** The driver whose entry the address names. */
  const namedOf = (request: FastifyRequest, now: MeetingNow): CardReader => {
    const id = readIdField((request.params as { entry: string }).entry);
    const entry = id === null ? undefined : now.entries.get(id);
    if (!entry) throw new Refusal('notFound');
    return { driverId: entry.driverId, own: false, keeps: mayKeep(request.visitor, entry.driverId) };
  };

  const page = async (reply: FastifyReply, now: MeetingNow, reader: CardReader, stream: string) => {
    const club = clubOf(reply.request);
    const entries = entriesOf(now, reader.driverId);
    const nickname = entries[0]?.nickname ?? (await nicknameOf(club.id, reader.driverId));
    const card = cardOf(now, entries);
    return reply.page(
      CardPage({
        shell: reply.shell(),
        slug: club.slug,
        nickname,
        now,
        card,
        own: reader.own,
        dialIn: reader.keeps ? dialInFor(reader.driverId, now, card) : null,
        stream,
      }),
    );
  };

  const nicknameOf = async (clubId: string, driverId: string): Promise<string> => {
    const found = await app.db.readClub(clubId, (tx) => selectOptionalDriver(tx, clubId, driverId));
    if (!found) throw new Refusal('notFound');
    return found.nickname;
  };

  app.get(`${base}/me`, driver, async (request, reply) => {
    const reader = selfOf(request);
    const now = await meetingOf(app, request);
    return page(reply, now, reader, urls.meeting(clubOf(request).slug, now.meeting.id, 'live/me'));
  });

  app.get(`${base}/live/me`, driver, async (request, reply) => {
    const reader = selfOf(request);
    const { meeting } = await meetingOf(app, request);
    return app.live.stream(request, reply, cardTopic(app.watches, clubOf(request), meeting, reader));
  });

  app.get(`${base}/drivers/:entry`, everyone, async (request, reply) => {
    const now = await meetingOf(app, request);
    const reader = namedOf(request, now);
    return page(reply, now, reader, `${request.url.split('?')[0]}/live`);
  });

  app.get(`${base}/drivers/:entry/live`, everyone, async (request, reply) => {
    const now = await meetingOf(app, request);
    return app.live.stream(request, reply, cardTopic(app.watches, clubOf(request), now.meeting, namedOf(request, now)));
  });
};
