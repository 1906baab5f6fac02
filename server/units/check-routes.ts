import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { unitCheck as t } from '../../views/texts/en/unit-check.ts';
import { UnitCheckPage, UnitTracePage } from '../../views/unit-check.tsx';
import { TraceRegion, WaitingRegion } from '../../views/unit-trace.tsx';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { calibrate } from '../profiles/calibration/calibrate.ts';
import { authorOf, own } from '../profiles/kept-profile.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { readMultipart } from '../shared/multipart.ts';
import { selectOptionalTrace, selectTraceHeads, type TraceSource } from './calibration-store.ts';
import { readReadings } from './readings-text.ts';
import { readingsLimitBytes, readingsProblem, readingsSchema } from './schemas.ts';
import { keepCalibration, keepReadings } from './trace-actions.ts';
import { mostReadings } from './trace-parts.ts';
import { unitOf } from './unit-desk.ts';

/** Checking a trigger: the readings, what they show, and what is kept of it. */
export const unitCheckRoutes: FastifyPluginAsync = async (app) => {
  const showCheck = async (reply: FastifyReply, form: FormState | null, status = 422) => {
    const { club, key, unit } = await unitOf(app, reply.request);
    const traces = await app.db.readClub(club.id, (tx) => selectTraceHeads(tx, key));
    const page = { shell: reply.shell(), slug: club.slug, zone: club.zone, unit, traces };
    if (form) return reply.page(UnitCheckPage({ ...page, form }), status);
    return reply.page(UnitCheckPage({ ...page, form: freshForm({ bits: '12', restSamples: '100' }) }));
  };
  app.get('/c/:club/units/:unit/check', own, async (_request, reply) => showCheck(reply, null));

  await app.register(async (upload) => {
    const form = { parseAs: 'buffer', bodyLimit: readingsLimitBytes } as const;
    upload.addContentTypeParser<Buffer>('multipart/form-data', form, (request, body, done) => {
      const parts = readMultipart(body, request.headers['content-type'] ?? '');
      if (parts === null) return done(new Refusal('malformed', t.notAForm));
      const fields = parts.map(({ name, filename, bytes }) => {
        if (filename === null) return [name, new TextDecoder().decode(bytes)];
        // A browser sends an empty file where none was chosen.
        return [name, bytes.length === 0 ? undefined : bytes];
      });
      done(null, Object.fromEntries(fields));
    });
    upload.setErrorHandler((error, _request, reply) => {
      if ((error as { statusCode?: number }).statusCode !== 413) throw error;
      return showCheck(reply, withError(freshForm(), 'file', t.tooLarge), 413);
    });

    upload.post('/c/:club/units/:unit/check', own, async (request, reply) => {
      const { club, key } = await unitOf(app, request);
      const read = readSent(request);
      if (!read.ok) return showCheck(reply, read.form);
      const n = await keepReadings(app.db, key, read.readings);
      if (n === null) throw new Refusal('notFound');
      return reply.see(urls.unit(club.slug, key.id, `checks/${n}`));
    });
  });

  app.get('/c/:club/units/:unit/check/state', own, async (request, reply) => {
    const { club, key, unit } = await unitOf(app, request);
    const { after } = request.query as { after?: unknown };
    const before = typeof after === 'string' && /^\d{1,9}$/.test(after) ? Number(after) : 0;
    const trace = await app.db.readClub(club.id, async (tx) => {
      const head = (await selectTraceHeads(tx, key)).find(({ n, source }) => n > before && source === 'unit');
      return head ? selectOptionalTrace(tx, key, head.n) : null;
    });
    const { slug } = club;
    if (!trace) {
      const href = `${urls.unit(slug, key.id, 'check/state')}?after=${before}`;
      return reply.fragment(WaitingRegion({ href }));
    }
    const found = trace.complete ? calibrate(trace) : null;
    return reply.fragment(TraceRegion({ slug, unit, trace, found, csrf: reply.csrf() }));
  });

  const traceOf = async (request: FastifyRequest) => {
    const { club, key, unit } = await unitOf(app, request);
    const { n } = request.params as { n: string };
    if (!/^\d{1,9}$/.test(n)) throw new Refusal('notFound');
    const trace = await app.db.readClub(club.id, (tx) => selectOptionalTrace(tx, key, Number(n)));
    if (!trace) throw new Refusal('notFound');
    return { club, key, unit, trace, found: trace.complete ? calibrate(trace) : null };
  };
  app.get('/c/:club/units/:unit/checks/:n', own, async (request, reply) => {
    const { club, unit, trace, found } = await traceOf(request);
    return reply.page(UnitTracePage({ shell: reply.shell(), slug: club.slug, unit, trace, found }));
  });
  app.get('/c/:club/units/:unit/checks/:n/state', own, async (request, reply) => {
    const { club, unit, trace, found } = await traceOf(request);
    return reply.fragment(TraceRegion({ slug: club.slug, unit, trace, found, csrf: reply.csrf() }));
  });
  app.post('/c/:club/units/:unit/checks/:n/keep', own, async (request, reply) => {
    const { club, key, trace } = await traceOf(request);
    const kept = await keepCalibration(app.db, key, trace.n, authorOf(request));
    if (kept === 'gone') throw new Refusal('notFound');
    // The page says why it cannot be kept.
    if (kept !== 'kept') return reply.see(urls.unit(club.slug, key.id, `checks/${trace.n}`));
    return reply.see(`${urls.unit(club.slug, key.id)}?done=kept`);
  });
};

type Sent =
  | { ok: true; readings: { bits: number; restSamples: number; counts: number[]; source: TraceSource } }
  | { ok: false; form: FormState };

/** The readings of a form: of its file, or else those typed in. What a JSON text says of itself goes before the fields. */
function readSent(request: FastifyRequest): Sent {
  const body = { ...(request.body as object | null) } as Readonly<Record<string, unknown>>;
  const typed = Object.entries(body).filter((field): field is [string, string] => typeof field[1] === 'string');
  const form = freshForm(Object.fromEntries(typed));
  const { file, counts } = body;
  const isFile = file instanceof Uint8Array;
  const text = isFile ? new TextDecoder().decode(file) : typeof counts === 'string' ? counts : '';
  const readings = readReadings(text, mostReadings);
  if (!readings.ok) {
    return { ok: false, form: withError(form, isFile ? 'file' : 'counts', readingsProblem(readings.problem)) };
  }
  const said = { bits: readings.bits ?? body.bits, restSamples: readings.restSamples ?? body.restSamples };
  const read = readingsSchema.safeParse({ ...body, bits: String(said.bits), restSamples: String(said.restSamples) });
  if (!read.success) {
    const wrong = (so: FormState, { path, message }: (typeof read.error.issues)[number]) =>
      withError(so, String(path[0] ?? ''), message);
    return { ok: false, form: read.error.issues.reduce(wrong, form) };
  }
  const { bits, restSamples, fromCable } = read.data;
  const source = isFile ? 'file' : fromCable === 'yes' ? 'serial' : 'paste';
  return { ok: true, readings: { bits, restSamples, counts: readings.counts, source } };
}
