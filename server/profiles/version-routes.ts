import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { ProfilePictures } from '../../views/profile-pictures.tsx';
import { type ComparedSetup, ComparePage, VersionPage } from '../../views/profile-versions.tsx';
import { CopyProfilePage } from '../../views/profiles.tsx';
import { comparisonWords } from '../../views/texts/en/compare.ts';
import { profiles as t } from '../../views/texts/en/profiles.ts';
import { urls } from '../../views/urls.ts';
import { once } from '../accounts/once-desk.ts';
import type { Club } from '../clubs/store.ts';
import { Refusal } from '../errors.ts';
import { selectOptionalLatestFit } from '../pace/pace-store.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { copyProfile, goBack } from './actions.ts';
import { compareProfiles } from './compare/compare.ts';
import { lockingOn } from './compare/locking.ts';
import { selectOptionalEffectBetween } from './effect-store.ts';
import { authorOf, keptProfile, madeAt, notCreatedSentence, own } from './kept-profile.ts';
import { motorPart } from './motor-part-routes.ts';
import { type NamedVersion, selectPlaces, selectVersionNames } from './page-store.ts';
import { picturesOf } from './pictures.ts';
import { backSchema, copySchema, readVersionName, versionField } from './schemas.ts';
import { type KeptProfile, type ProfileVersion, selectOptionalVersion, selectVersions } from './store.ts';

const base = '/c/:club/profiles/:profile';

/** Earlier versions: read, compared, gone back to, copied. */
export const profileVersionRoutes: FastifyPluginAsync = async (app) => {
  /** The version that the address names. */
  const versionOf = async (request: FastifyRequest, club: Club, profile: KeptProfile): Promise<ProfileVersion> => {
    const read = versionField.safeParse((request.params as { version?: unknown }).version);
    const version = read.success
      ? await app.db.readClub(club.id, (tx) => selectOptionalVersion(tx, club.id, profile.id, read.data))
      : null;
    if (!version) throw new Refusal('notFound');
    return version;
  };

  const versionPage = async (reply: FastifyReply, form: FormState, status = 200) => {
    const { club, profile } = await keptProfile(app, reply.request);
    const version = await versionOf(reply.request, club, profile);
    const differs = version.hash !== profile.hash;
    const data = picturesOf(version.setup, differs ? profile.setup : null, null);
    const names = { own: t.version(version.version), other: t.version(profile.latest) };
    const picture = ProfilePictures({ data, names });
    return reply.page(
      VersionPage({ shell: reply.shell(), slug: club.slug, zone: club.zone, profile, version, form, picture }),
      status,
    );
  };

  app.get(`${base}/versions/:version`, own, async (_request, reply) => versionPage(reply, freshForm()));

  app.post(`${base}/versions/:version/back`, own, async (request, reply) => {
    const { club, profile } = await keptProfile(app, request);
    const { version } = await versionOf(request, club, profile);
    const read = readForm(backSchema, request.body);
    if (!read.ok) return versionPage(reply, read.form, 422);
    const to = { version, note: read.values.note, author: authorOf(request) };
    const done = await once<never>(app, request, async (tx) => {
      const saved = await goBack(tx, club.id, profile.id, to);
      if (saved === null) throw new Refusal('notFound');
      return `${urls.profile(club.slug, profile.id)}?saved=${saved.version}`;
    });
    return reply.see(done);
  });

  app.get(`${base}/compare`, own, async (request, reply) => {
    const { club, profile } = await keptProfile(app, request);
    const { a, b } = request.query as { a?: unknown; b?: unknown };
    const chosen = {
      a: comparedName(a, profile, Math.max(1, profile.latest - 1)),
      b: comparedName(b, profile, profile.latest),
    };
    const found = await app.db.readClub(club.id, async (tx) => {
      const names = await selectVersionNames(tx, club.id, profile.driverId);
      const setupOf = async (named: NamedVersion) => {
        const version = await selectOptionalVersion(tx, club.id, named.profileId, named.version);
        const title = comparedTitle(named, profile);
        const inWords = named.profileId === profile.id ? t.compare.versionInWords(named.version) : title;
        return version && { title, inWords, setup: version.setup };
      };
      const find = async (name: string): Promise<ComparedSetup | null> => {
        // Only versions of this driver are among the names.
        const named = names.find((one) => nameOf(one) === name);
        return named ? setupOf(named) : null;
      };
      const fit = (await selectOptionalLatestFit(tx, club.id))?.fit ?? null;
      const [a, b] = [readVersionName(chosen.a), readVersionName(chosen.b)];
      return {
        names,
        from: await find(chosen.a),
        to: await find(chosen.b),
        effect: a && b && (await selectOptionalEffectBetween(tx, club.id, a, b, fit)),
      };
    });
    const { names, from, to, effect } = found;
    if (!from || !to) throw new Refusal('notFound');
    const shown = { carId: profile.carId, setup: from.setup, over: { version: 0, setup: to.setup } };
    const motor = await motorPart(app, request, club, shown);
    // "On this car" is only said of measured values.
    const locks = motor.chosen === 'car' ? lockingOn(motor.story.motor) : undefined;
    const data = picturesOf(from.setup, to.setup, null);
    const picture = ProfilePictures({ data, names: { own: from.title, other: to.title } });
    return reply.page(
      ComparePage({
        shell: reply.shell(),
        slug: club.slug,
        profile,
        options: names
          .sort((x, y) => Number(y.profileId === profile.id) - Number(x.profileId === profile.id))
          .map((one) => ({ value: nameOf(one), label: comparedTitle(one, profile) })),
        chosen,
        from,
        to,
        words: comparisonWords(compareProfiles(from.setup, to.setup, { locks })),
        effect,
        motor: { ...motor, names: { own: from.title, other: to.title } },
        picture,
      }),
    );
  });

  const copyPage = async (reply: FastifyReply, typed: FormState | null, status = 200) => {
    const { club, profile } = await keptProfile(app, reply.request);
    const found = await app.db.readClub(club.id, async (tx) => ({
      ...(await selectPlaces(tx, club.id, profile.driverId)),
      versions: (await selectVersions(tx, club.id, profile.id)).map(({ version }) => version),
    }));
    const usual = { name: profile.setup.name, carId: '', trackId: '', version: String(profile.latest) };
    const form = typed ?? freshForm(usual);
    return reply.page(CopyProfilePage({ shell: reply.shell(), slug: club.slug, profile, form, ...found }), status);
  };

  app.get(`${base}/copy`, own, async (_request, reply) => copyPage(reply, null));

  app.post(`${base}/copy`, own, async (request, reply) => {
    const { club, profile } = await keptProfile(app, request);
    const read = readForm(copySchema, request.body);
    if (!read.ok) return copyPage(reply, read.form, 422);
    const to = { ...read.values, author: authorOf(request) };
    const done = await once(app, request, async (tx) =>
      madeAt(club.slug, await copyProfile(tx, club.id, profile.id, to)),
    );
    if (typeof done === 'string') return reply.see(done);
    return copyPage(reply, withError(read.form, '', notCreatedSentence(done.refused)), 422);
  });
};

const nameOf = ({ profileId, version }: { profileId: string; version: number }) => `${profileId}.${version}`;

/** A side of a comparison as the address names it: a number is a version of this profile. */
function comparedName(asked: unknown, profile: KeptProfile, otherwise: number): string {
  const number = versionField.safeParse(asked);
  if (number.success) return nameOf({ profileId: profile.id, version: number.data });
  const named = typeof asked === 'string' ? readVersionName(asked) : null;
  return nameOf(named ?? { profileId: profile.id, version: otherwise });
}

function comparedTitle(named: NamedVersion, profile: KeptProfile): string {
  return named.profileId === profile.id ? t.version(named.version) : t.compare.otherVersion(named.name, named.version);
}
