import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import { ProfilePictures } from '../../views/profile-pictures.tsx';
import { comparisonWords } from '../../views/texts/en/compare.ts';
import { unitMove as t } from '../../views/texts/en/unit-move.ts';
import { type MovedProfile, UnitMovePage } from '../../views/unit-move.tsx';
import { urls } from '../../views/urls.ts';
import { once } from '../accounts/once-desk.ts';
import { Refusal } from '../errors.ts';
import { readForm } from '../plugins/forms.ts';
import { addProfile, addVersion } from '../profiles/actions.ts';
import { compareProfiles } from '../profiles/compare/compare.ts';
import { convertProfile } from '../profiles/convert/convert.ts';
import { readSheet } from '../profiles/convert/sheet-schema.ts';
import { setupHash } from '../profiles/exchange/setup-hash.ts';
import { authorOf, keptProfile, madeAt, notCreatedSentence, own } from '../profiles/kept-profile.ts';
import { longestName } from '../profiles/model/profile.ts';
import { picturesOf } from '../profiles/pictures.ts';
import type { KeptProfile } from '../profiles/store.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { moveSchema } from './move-schemas.ts';
import { type NamedUnit, selectUnits } from './store.ts';

const path = '/c/:club/profiles/:profile/move';

/** A profile moved to the limits of a controller unit: first shown, then kept. */
export const unitMoveRoutes: FastifyPluginAsync = async (app) => {
  /** The profile of the address, and the units that its driver may hold in hand. */
  const desk = async (reply: FastifyReply) => {
    const { club, profile } = await keptProfile(app, reply.request);
    const units = await app.db.readClub(club.id, (tx) => selectUnits(tx, club.id));
    const inUse = units.filter(({ archivedAt }) => archivedAt === null);
    return {
      club,
      profile,
      units: inUse.filter(({ driverId }) => driverId === null || driverId === profile.driverId),
    };
  };

  const page = async (reply: FastifyReply, unitId: string | null, typed: FormState | null, status = 200) => {
    const { club, profile, units } = await desk(reply);
    const unit = unitId === null ? null : units.find(({ id }) => id === unitId);
    if (unit === undefined) throw new Refusal('notFound');
    const moved = unit && moveTo(profile, unit);
    const names = unit && nameFor(profile.setup.name, unit.name);
    return reply.page(
      UnitMovePage({
        shell: reply.shell(),
        slug: club.slug,
        profile,
        units,
        unit,
        moved,
        words: moved ? comparisonWords(compareProfiles(profile.setup, moved.profile)) : [],
        picture: moved && ProfilePictures({ data: picturesOf(moved.profile, profile.setup), names: t.pictures }),
        form: typed ?? freshForm({ keep: 'new', name: names ?? '' }),
      }),
      status,
    );
  };

  app.get(path, own, async (request, reply) => {
    const { unit } = request.query as { unit?: unknown };
    return page(reply, typeof unit === 'string' && unit !== '' ? unit : null, null);
  });

  app.post(path, own, async (request, reply) => {
    const { club, profile, units } = await desk(reply);
    const read = readForm(moveSchema, request.body);
    const unitId = typeof read.form.typed.unit === 'string' ? read.form.typed.unit : null;
    if (!read.ok) return page(reply, unitId, read.form, 422);
    const { shown, keep, name, confirmed } = read.values;
    const unit = units.find(({ id }) => id === unitId);
    const moved = unit && moveTo(profile, unit);
    if (!moved) throw new Refusal('notFound');
    if (moved.needsConfirmation && !confirmed) {
      return page(reply, unitId, withError(read.form, 'confirmed', t.confirmMissing), 422);
    }
    const origin = { via: 'unit', from: unit.name, version: profile.latest, hash: profile.hash } as const;
    const fresh = { note: '', author: authorOf(request), origin };
    const done = await once(app, request, async (tx) => {
      if (moved.shown !== shown) return { sentence: t.changed, status: 409 };
      if (keep === 'version') {
        const setup = moved.profile;
        const saved = await addVersion(tx, club.id, profile.id, { ...fresh, setup }, profile.latest);
        if (!saved) throw new Refusal('notFound');
        if ('conflict' in saved) return { sentence: t.changed, status: 409 };
        return `${urls.profile(club.slug, profile.id)}?saved=${saved.version}`;
      }
      const { driverId, carId, trackId } = profile;
      const setup = { ...moved.profile, name };
      const made = madeAt(club.slug, await addProfile(tx, club.id, { ...fresh, setup, driverId, carId, trackId }));
      return typeof made === 'string' ? made : { sentence: notCreatedSentence(made.refused), status: 422 };
    });
    if (typeof done === 'string') return reply.see(done);
    return page(reply, unitId, withError(read.form, '', done.sentence), done.status);
  });
};

/** Null where nobody typed in what the unit can do. */
function moveTo({ setup, latest }: KeptProfile, unit: NamedUnit): MovedProfile | null {
  const read = unit.sheet === null ? null : readSheet(unit.sheet);
  if (!read?.ok) return null;
  const conversion = convertProfile(setup, read.sheet);
  return { ...conversion, shown: `${latest}.${setupHash(conversion.profile)}` };
}

function nameFor(profile: string, unit: string): string {
  return [...t.nameOf(profile, unit)].slice(0, longestName).join('').trim();
}
