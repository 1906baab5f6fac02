import type { FastifyPluginAsync, FastifyRequest } from 'fastify';
import { EntryPage, LibraryPage } from '../../views/library.tsx';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { selectOptionalLatestFit } from '../pace/pace-store.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { selectEffectKeys, selectEffects, versionKey } from '../profiles/effect-store.ts';
import { codesOf } from '../profiles/exchange/codes.ts';
import { mayKeep } from '../profiles/owner.ts';
import { picturesOf } from '../profiles/pictures.ts';
import { takeBack } from './actions.ts';
import { sendProfile } from './file-answer.ts';
import { choicesOf, fitting, kindOf, libraryPage } from './library.ts';
import { librarySchema } from './schemas.ts';
import { type LibraryEntry, selectLibrary, selectOptionalEntry } from './store.ts';

const everyone = { config: { access: 'everyone' } } as const;
const base = '/c/:club/library';

/** What members gave to the club: list, entries, taking out. */
export const libraryRoutes: FastifyPluginAsync = async (app) => {
  app.get(base, everyone, async (request, reply) => {
    const club = clubOf(request);
    const ask = librarySchema.parse(request.query);
    const { all, found, effects } = await app.db.readClub(club.id, async (tx) => {
      const all = await selectLibrary(tx, club.id);
      const found = fitting(all, ask);
      // In another order the effects of this page alone are looked for.
      const told = ask.sort === 'effect' ? found : libraryPage(found, ask, () => 0).entries;
      const fit = told.length === 0 ? null : ((await selectOptionalLatestFit(tx, club.id))?.fit ?? null);
      return { all, found, effects: await selectEffectKeys(tx, club.id, told, fit) };
    });
    const { entries, page, pages } = libraryPage(found, ask, (entry) => effects.get(versionKey(entry)) ?? 0);
    return reply.page(
      LibraryPage({
        shell: reply.shell(),
        slug: club.slug,
        ask: { ...ask, page },
        entries: entries.map(({ kind, ...entry }) => ({ ...entry, motor: kind })),
        pages,
        isEmpty: all.length === 0,
        ...choicesOf(all),
      }),
    );
  });

  const entryOf = async (request: FastifyRequest): Promise<LibraryEntry> => {
    const club = clubOf(request);
    const id = idOf(request, 'share');
    const entry = await app.db.readClub(club.id, (tx) => selectOptionalEntry(tx, club.id, id));
    if (!entry) throw new Refusal('notFound');
    return entry;
  };

  app.get(`${base}/:share`, everyone, async (request, reply) => {
    const club = clubOf(request);
    const entry = await entryOf(request);
    const effects = await app.db.readClub(club.id, async (tx) => {
      const fit = (await selectOptionalLatestFit(tx, club.id))?.fit ?? null;
      return selectEffects(tx, club.id, entry.profileId, fit);
    });
    return reply.page(
      EntryPage({
        shell: reply.shell(),
        slug: club.slug,
        entry,
        pictures: picturesOf(entry.setup, null),
        codes: codesOf(entry.setup),
        effect: effects.find(({ version }) => version === entry.version) ?? null,
        motor: kindOf(entry),
        mayTakeOut: mayKeep(request.visitor, entry.driverId),
      }),
    );
  });

  app.get(`${base}/:share/profile.json`, everyone, async (request, reply) =>
    sendProfile(reply, (await entryOf(request)).setup),
  );

  app.post(`${base}/:share/take-out`, { config: { access: 'own' } }, async (request, reply) => {
    const club = clubOf(request);
    const entry = await entryOf(request);
    if (!mayKeep(request.visitor, entry.driverId)) throw new Refusal('notAllowedOwn');
    await takeBack(app.db, club.id, entry.profileId, entry.id);
    return reply.see(urls.inClub(club.slug, 'library'));
  });
};
