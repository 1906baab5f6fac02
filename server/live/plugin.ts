import type { FastifyReply, FastifyRequest } from 'fastify';
import fp from 'fastify-plugin';
import { selectRunningSessions } from '../accounts/store.ts';
import { Refusal } from '../errors.ts';
import { Hub, type Viewer } from './hub.ts';
import { doorbell, readKey } from './notify.ts';
import type { Topic } from './renderer.ts';

declare module 'fastify' {
  interface FastifyInstance {
    live: {
      /**
       * Answers with a stream of the topic's frames: the current one at once, then each newer one.
       *
       * @throws Refusal `busy` when there are too many streams; whatever `topic.frame()` throws the first time
       */
      stream(request: FastifyRequest, reply: FastifyReply, topic: Topic): Promise<FastifyReply>;
      /** Streams that are open in this process. */
      readonly size: number;
    };
  }
}

/** Streams of one process: each holds a socket and at most one frame. */
const processLimit = 300;
/** A browser opens no more than six connections to a server over HTTP/1.1; more streams would be somebody's script. */
const sessionLimit = 6;
/** People without a session may share an address and the make of their phones: a whole hall behind one router. */
const addressLimit = 100;

function viewerOf(request: FastifyRequest): Viewer {
  const { visitor, club } = request;
  if (!visitor || !club) {
    return { browser: `${request.ip} ${request.headers['user-agent'] ?? ''}`, limit: addressLimit, session: null };
  }
  const needed = request.routeOptions.config.access !== 'everyone';
  const session = needed ? { clubId: club.id, tokenHash: visitor.tokenHash } : null;
  return { browser: visitor.tokenHash, limit: sessionLimit, session };
}

/** Live screens: `app.live.stream(request, reply, topic)`. The only place that answers past Fastify. */
export const live = fp(
  async (app) => {
    const hub = new Hub({
      clock: app.clock,
      limit: processLimit,
      runningSessions: (clubId, hashes) => app.db.readClub(clubId, (tx) => selectRunningSessions(tx, hashes)),
      onFailure: (error) => app.log.error({ err: error }, 'live screens could not be updated'),
    });

    // What is said before somebody listens is lost, so listening begins before the first frame is made.
    let listening: Promise<() => Promise<void>> | null = null;
    const listen = async () => {
      listening ??= app.db.listen(
        doorbell,
        (payload) => {
          const key = readKey(payload);
          if (key) hub.ring(key);
        },
        () => hub.ring(null),
      );
      try {
        await listening;
      } catch (error) {
        listening = null;
        throw error;
      }
    };

    const headers = {
      ...app.securityHeaders,
      'content-type': 'text/event-stream; charset=utf-8',
      'cache-control': 'no-cache, no-transform',
      // Proxies that collect an answer before they pass it on must not.
      'x-accel-buffering': 'no',
    };

    app.decorate('live', {
      async stream(request: FastifyRequest, reply: FastifyReply, topic: Topic) {
        if (request.method === 'HEAD') return reply.headers(headers).send();
        await listen();
        const opened = await hub.open(topic, viewerOf(request), () => {
          reply.hijack();
          request.raw.socket.setNoDelay(true);
          return reply.raw.writeHead(200, headers);
        });
        if (!opened) throw new Refusal('busy');
        return reply;
      },
      get size() {
        return hub.size;
      },
    });

    // Open streams would hold back `close()` for as long as somebody looks.
    app.addHook('preClose', async () => hub.close());
    app.addHook('onClose', async () => {
      const unlisten = await listening?.catch(() => null);
      await unlisten?.().catch(() => {});
    });
  },
  { name: 'live', dependencies: ['session', 'security'] },
);
