import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { SharingPage } from '../../views/share-links.tsx';
import { shares as t } from '../../views/texts/en/shares.ts';
import { urls } from '../../views/urls.ts';
import { once } from '../accounts/once-desk.ts';
import { selectOptionalDriver } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { idOf, todayIn } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { codesOf } from '../profiles/exchange/codes.ts';
import { keptProfile, own } from '../profiles/kept-profile.ts';
import { versionField } from '../profiles/schemas.ts';
import { selectOptionalVersion } from '../profiles/store.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { mostShares, type NotShared, openLink, publish, takeBack } from './actions.ts';
import { sendProfile } from './file-answer.ts';
import { linkSchema, publishSchema } from './schemas.ts';
import { selectEntriesOf, selectLinks } from './store.ts';

const base = '/c/:club/profiles/:profile';

/** What the page says after it sent somebody on to itself. */
const done: Readonly<Record<string, string>> = {
  link: t.link.made,
  back: t.link.withdrawn,
  library: t.library.published,
  out: t.library.takenOut,
};

/** By its owner: code, file, links, the club's library. */
export const linkRoutes: FastifyPluginAsync = async (app) => {
  /** The profile, its version that the address or form names, and the name that may go along. */
  const shared = async (request: FastifyRequest, asked: unknown) => {
    const { club, profile } = await keptProfile(app, request);
    const read = versionField.safeParse(asked ?? String(profile.latest));
    const found = await app.db.readClub(club.id, async (tx) => ({
      version: read.success ? await selectOptionalVersion(tx, club.id, profile.id, read.data) : null,
      driver: await selectOptionalDriver(tx, club.id, profile.driverId),
    }));
    const { version, driver } = found;
    if (!version || !driver) throw new Refusal('notFound');
    // Somebody who does not want to stand on public pages is named by nobody else.
    const mayName = driver.public || request.visitor?.driverId === driver.id;
    const today = todayIn(app)(club.zone);
    return { club, profile, version, author: mayName ? driver.nickname : null, today };
  };
  const asked = (request: FastifyRequest) => (request.query as { version?: unknown }).version;

  const page = async (reply: FastifyReply, form: FormState, status = 200) => {
    const { request } = reply;
    const isForm = request.method === 'POST';
    const { club, profile, version, author, today } = await shared(
      request,
      isForm ? (request.body as { version?: unknown }).version : asked(request),
    );
    const found = await app.db.readClub(club.id, async (tx) => ({
      links: await selectLinks(tx, club.id, profile.id),
      entries: await selectEntriesOf(tx, club.id, profile.id),
    }));
    const said = (request.query as { done?: unknown }).done;
    return reply.page(
      SharingPage({
        shell: reply.shell(),
        slug: club.slug,
        profile,
        version: version.version,
        codes: codesOf(version.setup),
        links: found.links.map((link) => ({
          ...link,
          address: reply.linkTo(urls.share(link.code ?? '')),
          hasEnded: link.endsOn !== null && link.endsOn < today,
        })),
        entries: found.entries,
        author,
        form,
        status: typeof said === 'string' && Object.hasOwn(done, said) ? done[said] : undefined,
      }),
      status,
    );
  };

  app.get(`${base}/share`, own, async (_request, reply) => page(reply, freshForm()));

  app.get(`${base}/profile.json`, own, async (request, reply) =>
    sendProfile(reply, (await shared(request, asked(request))).version.setup),
  );

  app.post(`${base}/share/link`, own, async (request, reply) => {
    const read = readForm(linkSchema, request.body);
    if (!read.ok) return page(reply, read.form, 422);
    const { version, named, endsOn } = read.values;
    const { club, profile, author, today } = await shared(request, String(version));
    if (endsOn !== null && endsOn < today) return page(reply, withError(read.form, 'endsOn', t.link.endsOnPast), 422);
    const link = { version, author: named ? author : null, endsOn, today };
    const done = await once(app, request, async (tx) => {
      const made = await openLink(tx, profile, club.id, link);
      if ('refused' in made) return made;
      return `${urls.profile(club.slug, profile.id, 'share')}?version=${version}&done=link#links`;
    });
    if (typeof done === 'string') return reply.see(done);
    return page(reply, withError(read.form, '', notSharedSentence(done.refused)), 422);
  });

  app.post(`${base}/share/library`, own, async (request, reply) => {
    const read = readForm(publishSchema, request.body);
    if (!read.ok) return page(reply, read.form, 422);
    const { version, named } = read.values;
    const { club, profile, author, today } = await shared(request, String(version));
    const entry = { version, author: named ? author : null, today };
    const done = await once(app, request, async (tx) => {
      const made = await publish(tx, profile, club.id, entry);
      if ('refused' in made) return made;
      return `${urls.profile(club.slug, profile.id, 'share')}?version=${version}&done=library#library`;
    });
    if (typeof done === 'string') return reply.see(done);
    return page(reply, withError(read.form, '', notSharedSentence(done.refused)), 422);
  });

  app.post(`${base}/share/:share/withdraw`, own, async (request, reply) => {
    const { club, profile } = await keptProfile(app, request);
    await takeBack(app.db, club.id, profile.id, idOf(request, 'share'));
    const what = (request.body as { from?: unknown } | undefined)?.from === 'library' ? 'out' : 'back';
    return reply.see(`${urls.profile(club.slug, profile.id, 'share')}?done=${what}`);
  });
};

function notSharedSentence(refused: NotShared): string {
  if (refused === 'unknown') throw new Refusal('notFound');
  return refused === 'full' ? t.link.full(mostShares) : t.library.twice;
}
