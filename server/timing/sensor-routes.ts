import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { timing as t } from '../../views/texts/en/timing.ts';
import { Refusal } from '../errors.ts';
import { noteHeartbeat } from './heartbeat-actions.ts';
import { type Ingest, TooFast } from './ingest-actions.ts';
import type { ReportAnswer } from './reports.ts';
import { crossingsSchema, heartbeatSchema, reportLimitBytes, whatIsWrong } from './schemas.ts';
import { type KnownSensor, KnownTokens } from './token-actions.ts';

declare module 'fastify' {
  interface FastifyRequest {
    /** The sensor whose token this request carries, and the server's instant at which the request came in. */
    sensor: (KnownSensor & { receivedUs: number }) | null;
  }
}

/** The doors for sensors: JSON with a token, no cookies. What they send and get is written down in the README. */
export const sensorRoutes: FastifyPluginAsync<{ ingest: Ingest }> = async (app, { ingest }) => {
  const tokens = new KnownTokens(app.db);
  // Nothing but JSON: a form of another page cannot send that without asking first.
  app.removeContentTypeParser(['text/plain', 'application/x-www-form-urlencoded']);

  app.get('/api/v1/time', { config: { access: 'device' } }, async () => ({ server_us: app.clock.nowUs() }));

  await app.register(async (scope) => {
    scope.decorateRequest('sensor', null);
    // Before the body is read: its way here must not look longer than it was, and nobody without a token sends one.
    scope.addHook('onRequest', async (request, reply) => {
      const receivedUs = app.clock.nowUs();
      const token = /^Bearer ([\w-]+)$/i.exec(request.headers.authorization ?? '')?.[1];
      const sensor = token === undefined ? null : await tokens.find(token);
      if (!sensor) throw unknownToken(reply);
      request.sensor = { ...sensor, receivedUs };
    });

    scope.post(
      '/api/v1/crossings',
      { config: { access: 'device' }, bodyLimit: reportLimitBytes },
      async (request, reply) => {
        const sensor = sensorOf(request);
        const body = read(crossingsSchema, request.body);
        admit(reply, ingest, sensor, body.events.length);
        const { deviceId: id, tokenHash, receivedUs } = sensor;
        const report = {
          reporter: { kind: 'sensor', id, tokenHash },
          boot: body.boot,
          bits: body.bits,
          sentUs: body.sent_us,
          rttUs: null,
          receivedUs,
          commandId: null,
          crossings: body.events,
        } as const;
        const answer = await ingest.store(trackOf(sensor), report).catch((error: unknown) => {
          if (!(error instanceof Refusal) || error.code !== 'noToken') throw error;
          tokens.forget(sensor);
          throw unknownToken(reply);
        });
        return writeAnswer(answer, app.clock.nowUs());
      },
    );

    scope.post('/api/v1/heartbeat', { config: { access: 'device' } }, async (request, reply) => {
      const sensor = sensorOf(request);
      const body = read(heartbeatSchema, request.body);
      admit(reply, ingest, sensor, 0);
      const beat = await noteHeartbeat(app.db, trackOf(sensor), {
        deviceId: sensor.deviceId,
        tokenHash: sensor.tokenHash,
        boot: body.boot,
        bits: body.bits,
        sentUs: body.sent_us,
        receivedUs: sensor.receivedUs,
        buffered: body.buffered,
        rttUs: body.rtt_us,
      });
      if ('refused' in beat) {
        if (beat.refused === 'bits') throw new Refusal('malformed', t.bitsChanged(body.bits));
        tokens.forget(sensor);
        throw unknownToken(reply);
      }
      return { server_us: app.clock.nowUs(), final_to: beat.finalTo };
    });
  });
};

/** The answer to a report, with a reason in words for every number that was rejected. */
export function writeAnswer(answer: ReportAnswer, serverUs: number) {
  const rejected = answer.rejected.map(({ seq, why }) => ({ seq, why: t.rejected[why] }));
  return { ...answer, rejected, server_us: serverUs };
}

function sensorOf(request: FastifyRequest): KnownSensor & { receivedUs: number } {
  if (!request.sensor) throw new Refusal('noToken');
  return request.sensor;
}

const trackOf = ({ clubId, trackId }: KnownSensor) => ({ clubId, trackId });

type Parsed<T> = { success: true; data: T } | { success: false; error: Parameters<typeof whatIsWrong>[0] };

function read<T>(schema: { safeParse(body: unknown): Parsed<T> }, body: unknown): T {
  const parsed = schema.safeParse(body);
  if (parsed.success) return parsed.data;
  throw new Refusal('malformed', whatIsWrong(parsed.error));
}

/** Counts a request against the device's limits. */
export function admit(
  reply: FastifyReply,
  ingest: Ingest,
  device: { clubId: string; trackId: string; deviceId: string },
  count: number,
): void {
  const { clubId, trackId, deviceId } = device;
  try {
    ingest.admit({ clubId, trackId }, deviceId, count);
  } catch (error) {
    if (error instanceof TooFast) reply.header('retry-after', error.retryAfterSeconds);
    throw error;
  }
}

function unknownToken(reply: FastifyReply): Refusal {
  reply.header('www-authenticate', 'Bearer');
  return new Refusal('noToken');
}
