import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { ForWhomPage, LookPage, ReceivePage } from '../../views/share-receive.tsx';
import { comparisonWords } from '../../views/texts/en/compare.ts';
import { exchange } from '../../views/texts/en/exchange.ts';
import { shares as t } from '../../views/texts/en/shares.ts';
import { urls } from '../../views/urls.ts';
import { once } from '../accounts/once-desk.ts';
import { selectDrivers } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { countTries } from '../meetings/tries.ts';
import { clubOf, todayIn } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { addProfile } from '../profiles/actions.ts';
import { compareProfiles } from '../profiles/compare/compare.ts';
import { ExchangeProblem } from '../profiles/exchange/problem.ts';
import { readShared, sharedText } from '../profiles/exchange/shared-file.ts';
import { authorOf, keptDriver, madeAt, notCreatedSentence, own } from '../profiles/kept-profile.ts';
import { picturesOf } from '../profiles/pictures.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { readMultipart } from '../shared/multipart.ts';
import { chosenOwn, selectOwnSetups } from './own-store.ts';
import { pastedSource, type Source, viaOf } from './received.ts';
import { type Received, selectOptionalReceived } from './received-store.ts';
import { keepSchema, lookSchema, pasteSchema } from './schemas.ts';

const base = '/c/:club/drivers/:driver/profiles/receive';
const minuteUs = 60_000_000;
/** Profiles that one session may look at, and keep, in a minute. */
const mostAMinute = 20;
/** Room for a file that is too large, so that the page can say so, and for the form around it. */
const uploadLimitBytes = 64 * 1024;

/** Taking a profile: given as code, link or file; looked at; kept as a new one. Nothing is remembered in between. */
export const receiveRoutes: FastifyPluginAsync = async (app) => {
  const looks = countTries(mostAMinute, minuteUs);
  const keeps = countTries(mostAMinute, minuteUs);
  const count = (tries: typeof looks, request: FastifyRequest) => {
    const session = request.visitor?.tokenHash ?? request.ip;
    const now = app.clock.nowUs();
    if (tries.spent(session, now)) throw new Refusal('tooMany', t.receive.tooMany);
    tries.note(session, now);
  };
  const today = todayIn(app);

  const receivePage = async (reply: FastifyReply, form: FormState, status = 200) => {
    const { club, driver } = await keptDriver(app, reply.request);
    return reply.page(ReceivePage({ shell: reply.shell(), slug: club.slug, driver, form }), status);
  };

  /** @returns the profile, or the sentence that says why there is none */
  const receive = async (request: FastifyRequest, source: Source): Promise<Received | string> => {
    try {
      const received = await selectOptionalReceived(app.db, clubOf(request).id, source, today);
      return received ?? t.receive.elsewhere;
    } catch (error) {
      if (error instanceof ExchangeProblem) return exchange.problem(error);
      throw error;
    }
  };

  const lookPage = async (
    reply: FastifyReply,
    received: Received,
    asked: string | undefined,
    typed: FormState | null = null,
    status = 200,
  ) => {
    const { club, driver } = await keptDriver(app, reply.request);
    const { setups, ...found } = await app.db.readClub(club.id, (tx) =>
      selectOwnSetups(tx, club.id, driver.id, today(club.zone)),
    );
    const with_ = chosenOwn(setups, asked, received.carName);
    return reply.page(
      LookPage({
        shell: reply.shell(),
        slug: club.slug,
        driver,
        received,
        own: with_,
        owns: setups,
        pictures: picturesOf(received.profile, with_?.setup ?? null),
        words: with_ === null ? [] : comparisonWords(compareProfiles(with_.setup, received.profile)),
        form: typed ?? freshForm({ name: received.profile.name, carId: '', trackId: '' }),
        ...found,
      }),
      status,
    );
  };

  /** From the page of a link or an entry: drivers to their own page, a director first says for whom. */
  app.get('/c/:club/profiles/receive', own, async (request, reply) => {
    const { id, slug } = clubOf(request);
    const source = sourceIn(request.query);
    const query = source === null ? '' : `?${source.kind}=${encodeURIComponent(source.value)}`;
    const driverId = request.visitor?.driverId ?? null;
    if (driverId !== null) return reply.see(`${urls.driver(slug, driverId, 'profiles/receive')}${query}`);
    const drivers = await app.db.readClub(id, (tx) => selectDrivers(tx, id));
    return reply.page(ForWhomPage({ shell: reply.shell(), slug, drivers, query }));
  });

  app.get(base, own, async (request, reply) => {
    await keptDriver(app, request);
    const source = sourceIn(request.query);
    if (source === null) return receivePage(reply, freshForm());
    count(looks, request);
    const received = await receive(request, source);
    if (typeof received === 'string') return receivePage(reply, withError(freshForm(), '', received), 404);
    return lookPage(reply, received, undefined);
  });

  app.post(base, own, async (request, reply) => {
    await keptDriver(app, request);
    const read = readForm(pasteSchema, request.body);
    if (!read.ok) return receivePage(reply, read.form, 422);
    count(looks, request);
    const received = await receive(request, pastedSource(read.values.typed));
    if (typeof received === 'string') return receivePage(reply, withError(read.form, 'typed', received), 422);
    return lookPage(reply, received, undefined);
  });

  app.post(`${base}/look`, own, async (request, reply) => {
    await keptDriver(app, request);
    const read = readForm(lookSchema, request.body);
    if (!read.ok) return receivePage(reply, withError(freshForm(), '', t.receive.damaged), 422);
    count(looks, request);
    const received = await receive(request, read.values);
    if (typeof received === 'string') return receivePage(reply, withError(freshForm(), '', received), 422);
    return lookPage(reply, received, read.values.with);
  });

  app.post(`${base}/keep`, own, async (request, reply) => {
    const { club, driver } = await keptDriver(app, request);
    const source = readForm(lookSchema, request.body);
    if (!source.ok) return receivePage(reply, withError(freshForm(), '', t.receive.damaged), 422);
    count(keeps, request);
    const received = await receive(request, source.values);
    if (typeof received === 'string') return receivePage(reply, withError(freshForm(), '', received), 422);
    const read = readForm(keepSchema, request.body);
    if (!read.ok) return lookPage(reply, received, undefined, read.form, 422);
    const { name, carId, trackId } = read.values;
    const fresh = {
      driverId: driver.id,
      carId,
      trackId,
      setup: { ...received.profile, name },
      note: '',
      author: authorOf(request),
      origin: {
        via: viaOf[received.source.kind],
        ...(received.author === null ? {} : { from: received.author }),
        ...(received.version === null ? {} : { version: received.version }),
        hash: received.hash,
      },
    };
    const done = await once(app, request, async (tx) => madeAt(club.slug, await addProfile(tx, club.id, fresh)));
    if (typeof done === 'string') return reply.see(done);
    const form = withError(read.form, '', notCreatedSentence(done.refused));
    return lookPage(reply, received, undefined, form, 422);
  });

  await app.register(async (upload) => {
    // The limit counts while the body arrives.
    const form = { parseAs: 'buffer', bodyLimit: uploadLimitBytes } as const;
    upload.addContentTypeParser<Buffer>('multipart/form-data', form, (request, body, done) => {
      const parts = readMultipart(body, request.headers['content-type'] ?? '');
      if (parts === null) return done(new Refusal('malformed', t.receive.notAForm));
      const csrf = parts.find(({ name, filename }) => name === 'csrf' && filename === null)?.bytes;
      const file = parts.find(({ name, filename }) => name === 'file' && filename)?.bytes;
      done(null, { csrf: new TextDecoder().decode(csrf), file });
    });
    upload.setErrorHandler((error, _request, reply) => {
      if ((error as { statusCode?: number }).statusCode !== 413) throw error;
      const tooLarge = exchange.problem(new ExchangeProblem('TOO_LARGE'));
      return receivePage(reply, withError(freshForm(), 'file', tooLarge), 413);
    });

    upload.post(`${base}/file`, own, async (request, reply) => {
      await keptDriver(app, request);
      const { file } = request.body as { file?: Uint8Array };
      if (!file || file.length === 0) {
        return receivePage(reply, withError(freshForm(), 'file', t.receive.noFile), 422);
      }
      count(looks, request);
      try {
        const read = readShared(file);
        const source: Source = { kind: 'file', value: sharedText(read.profile) };
        return await lookPage(reply, { source, author: null, version: null, carName: null, ...read }, undefined);
      } catch (error) {
        if (!(error instanceof ExchangeProblem)) throw error;
        return receivePage(reply, withError(freshForm(), 'file', exchange.problem(error)), 422);
      }
    });
  });
};

/** What an address asks for: `?link=` with a link's code, or `?entry=` with the id of a library's entry. */
function sourceIn(query: unknown): Source | null {
  const { link, entry } = query as { link?: unknown; entry?: unknown };
  if (typeof link === 'string') return { kind: 'link', value: link };
  return typeof entry === 'string' ? { kind: 'entry', value: entry } : null;
}
