import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { FoundLapsPage, PaceImportPage } from '../../views/pace-import.tsx';
import { paceImport as t } from '../../views/texts/en/pace.ts';
import { urls } from '../../views/urls.ts';
import { newSecret } from '../accounts/tokens.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { readMultipart } from '../shared/multipart.ts';
import { knownNames, removeImport, saveImport } from './import-actions.ts';
import { ImportDrafts } from './import-drafts.ts';
import type { ImportProblem } from './import-read.ts';
import { importSchema } from './schemas.ts';

const director = { config: { access: 'director' } } as const;
const filesLimitBytes = 64 * 1024 * 1024;

/** Past laps: read in from tables, looked at, saved; and removed again. */
export const paceImportRoutes: FastifyPluginAsync = async (app) => {
  const drafts = new ImportDrafts();

  const page = (
    reply: FastifyReply,
    form: FormState,
    status = 200,
    problems: { first: readonly ImportProblem[]; count: number } | null = null,
  ) => reply.page(PaceImportPage({ shell: reply.shell(), slug: clubOf(reply.request).slug, form, problems }), status);
  const secretOf = (request: FastifyRequest) => (request.params as { draft: string }).draft;
  const gone = (reply: FastifyReply) => page(reply, withError(freshForm(), '', t.gone), 404);

  app.get('/c/:club/pace/import', director, (_request, reply) => page(reply, freshForm()));

  await app.register(async (upload) => {
    // The limit counts while the body arrives.
    const files = { parseAs: 'buffer', bodyLimit: filesLimitBytes } as const;
    upload.addContentTypeParser<Buffer>('multipart/form-data', files, (request, body, done) => {
      const parts = readMultipart(body, request.headers['content-type'] ?? '');
      if (parts === null) return done(new Refusal('malformed', t.notAForm));
      const text = (wanted: string) => {
        const bytes = parts.find(({ name, filename }) => name === wanted && filename === null)?.bytes;
        return bytes && new TextDecoder().decode(bytes);
      };
      const file = (wanted: string) => parts.find(({ name, filename }) => name === wanted && filename !== null)?.bytes;
      done(null, { csrf: text('csrf'), name: text('name'), laps: file('laps'), drivers: file('drivers') });
    });
    upload.setErrorHandler((error, _request, reply) => {
      if ((error as { statusCode?: number }).statusCode !== 413) throw error;
      return page(reply, withError(freshForm(), 'laps', t.tooLarge), 413);
    });

    upload.post('/c/:club/pace/import', director, async (request, reply) => {
      const club = clubOf(request);
      const read = importSchema.safeParse(request.body);
      const typed = (request.body as { name?: unknown } | undefined)?.name;
      const form = freshForm(typeof typed === 'string' ? { name: typed } : {});
      if (!read.success) {
        const wrong = read.error.issues.reduce(
          (so, { path, message }) => withError(so, path.length === 0 ? 'laps' : String(path[0]), message),
          form,
        );
        return page(reply, wrong, 422);
      }
      const { name, laps, drivers } = read.data;
      const result = await app.work.run('readLaps', { laps, drivers });
      if (!result.ok) return page(reply, form, 422, { first: result.problems, count: result.count });
      const secret = newSecret();
      drafts.put(secret, { clubId: club.id, name, found: result.found });
      return reply.see(urls.inClub(club.slug, `pace/import/${secret}`));
    });
  });

  app.get('/c/:club/pace/import/:draft', director, async (request, reply) => {
    const club = clubOf(request);
    const secret = secretOf(request);
    const draft = drafts.look(secret, club.id);
    if (!draft) return gone(reply);
    const known = await app.db.readClub(club.id, (tx) => knownNames(tx, club.id, draft.found));
    return reply.page(FoundLapsPage({ shell: reply.shell(), slug: club.slug, secret, draft, known }));
  });

  app.post('/c/:club/pace/import/:draft', director, async (request, reply) => {
    const club = clubOf(request);
    const secret = secretOf(request);
    const draft = drafts.look(secret, club.id);
    if (!draft) return gone(reply);
    // Sent twice: the second one finds nothing any more.
    drafts.take(secret);
    try {
      await saveImport(app.db, club.id, draft.name, draft.found);
    } catch (error) {
      drafts.put(secret, draft);
      throw error;
    }
    return reply.see(`${urls.inClub(club.slug, 'pace')}?done=saved`);
  });

  app.post('/c/:club/pace/imports/:import/remove', director, async (request, reply) => {
    const club = clubOf(request);
    const isRemoved = await removeImport(app.db, club.id, idOf(request, 'import'));
    if (!isRemoved) throw new Refusal('notFound');
    return reply.see(`${urls.inClub(club.slug, 'pace')}?done=removed`);
  });
};
