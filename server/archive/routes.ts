import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { ImportPage } from '../../views/archive.tsx';
import { defaultLook } from '../../views/components/lane-defaults.ts';
import { archiveTexts } from '../../views/texts/en/archive.ts';
import { importing as t } from '../../views/texts/en/import.ts';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { selectOptionalStoredMeeting } from '../results/store.ts';
import { attachment } from '../shared/attachment.ts';
import { freshForm, withError } from '../shared/form.ts';
import { readMultipart } from '../shared/multipart.ts';
import { type Imported, importLog, type LaneLookOf } from './actions.ts';
import { mostLanes, mostMarshals, mostNameBytes } from './limits.ts';
import { writeLog } from './log-write.ts';
import { importSchema } from './schemas.ts';

const logLimitBytes = 16 * 1024 * 1024;

/** A log may number its lanes from anywhere; looks begin at lane 1. */
const lookOf: LaneLookOf = (lane) => {
  const { colour, pattern } = defaultLook(Math.max(1, lane));
  return { colour: colour.toLowerCase(), pattern };
};

/** A meeting's way out of the program, and into another one. */
export const archiveRoutes: FastifyPluginAsync = async (app) => {
  app.get('/c/:club/meetings/:meeting/log.jsonl', { config: { access: 'timing' } }, async (request, reply) => {
    const clubId = clubOf(request).id;
    const meetingId = idOf(request, 'meeting');
    const stored = await app.db.readClub(clubId, (tx) => selectOptionalStoredMeeting(tx, clubId, meetingId));
    if (!stored) throw new Refusal('notFound');
    const { name, date } = stored.meeting;
    return reply
      .type('application/x-ndjson; charset=utf-8')
      .header('content-disposition', attachment([name, date], 'jsonl'))
      .header('cache-control', 'no-store')
      .send(writeLog(stored.facts));
  });

  const page = (request: FastifyRequest, reply: FastifyReply, form = freshForm(), status = 200) =>
    reply.page(ImportPage({ shell: reply.shell(), form, slug: clubOf(request).slug }), status);
  const refuse = (request: FastifyRequest, reply: FastifyReply, sentence: string, status = 422) =>
    page(request, reply, withError(freshForm(), 'log', sentence), status);

  app.get('/c/:club/import', { config: { access: 'director' } }, async (request, reply) => page(request, reply));

  await app.register(async (upload) => {
    // The only form with a file; the limit counts while the body arrives.
    const file = { parseAs: 'buffer', bodyLimit: logLimitBytes } as const;
    upload.addContentTypeParser<Buffer>('multipart/form-data', file, (request, body, done) => {
      const parts = readMultipart(body, request.headers['content-type'] ?? '');
      if (parts === null) return done(new Refusal('malformed', t.notAForm));
      const csrf = parts.find(({ name, filename }) => name === 'csrf' && filename === null)?.bytes;
      const log = parts.find(({ name, filename }) => name === 'log' && filename !== null)?.bytes;
      done(null, { csrf: new TextDecoder().decode(csrf), log });
    });
    upload.setErrorHandler((error, request, reply) => {
      if ((error as { statusCode?: number }).statusCode !== 413) throw error;
      return refuse(request, reply, t.tooLarge, 413);
    });

    upload.post('/c/:club/import', { config: { access: 'director' } }, async (request, reply) => {
      const club = clubOf(request);
      const read = importSchema.safeParse(request.body);
      if (!read.success) return refuse(request, reply, read.error.issues[0]?.message ?? t.noFile);
      const imported = await importLog(app.db, club.id, read.data.log, lookOf);
      if (!('meetingId' in imported)) return refuse(request, reply, sentenceOf(imported));
      return reply.see(`${urls.meeting(club.slug, imported.meetingId, 'results')}?imported=1`);
    });
  });
};

/** Why a log was not taken in. */
function sentenceOf(refused: Exclude<Imported, { meetingId: string }>): string {
  if ('refusal' in refused) {
    const { line, code, what } = refused.refusal;
    return archiveTexts.refused(line, code, what);
  }
  switch (refused.beyond) {
    case 'long-name':
      return t.beyond['long-name'](mostNameBytes);
    case 'many-lanes':
      return t.beyond['many-lanes'](mostLanes);
    case 'many-marshals':
      return t.beyond['many-marshals'](mostMarshals);
    default:
      return t.beyond[refused.beyond];
  }
}
