import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import { z } from 'zod';
import { AdvicePage } from '../../views/profile-advice.tsx';
import { changeWords } from '../../views/profile-changes.ts';
import { advice as t } from '../../views/texts/en/advice.ts';
import { comparisonWords } from '../../views/texts/en/compare.ts';
import { urls } from '../../views/urls.ts';
import { once } from '../accounts/once-desk.ts';
import { Refusal } from '../errors.ts';
import { todayIn } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { addVersion } from './actions.ts';
import { bringsHeat, type Proposal, proposals } from './advice/proposal.ts';
import { type AdviceRow, isAdviceRow, sections } from './advice/rows.ts';
import { compareProfiles } from './compare/compare.ts';
import { lockingOn } from './compare/locking.ts';
import { authorOf, keptProfile, own } from './kept-profile.ts';
import { selectOptionalRaceLimit } from './limits-store.ts';
import type { Profile } from './model/profile.ts';
import type { CarMotor } from './motor/motor.ts';
import { selectOptionalCarMotor } from './motor-store.ts';
import { picturesOf } from './pictures.ts';
import { noteField, versionField } from './schemas.ts';

const path = '/c/:club/profiles/:profile/advice';

const rowField = z.string().refine(isAdviceRow, t.choose);
const querySchema = z.object({
  row: rowField.nullable().catch(null),
  /** Setting of the change that is looked at; the first one without it. */
  change: z.string().nullable().catch(null),
});
const trySchema = z.object({ row: rowField, change: z.string(), version: versionField, note: noteField });

/** "What is wrong?": a complaint, one change to try, and a button that keeps it as a new version. */
export const profileAdviceRoutes: FastifyPluginAsync = async (app) => {
  /** The profile of the address, the race limit that its driver is about to drive under, and its car's motor if measured. */
  const found = async (reply: FastifyReply) => {
    const { club, profile } = await keptProfile(app, reply.request);
    const today = todayIn(app)(club.zone);
    const { limit, motor } = await app.db.readClub(club.id, async (tx) => ({
      limit: await selectOptionalRaceLimit(tx, club.id, profile, today),
      motor: profile.carId === null ? null : await selectOptionalCarMotor(tx, club.id, profile.carId),
    }));
    return { club, profile, limit: limit?.permille ?? null, motor };
  };

  const page = async (
    reply: FastifyReply,
    { club, profile, limit, motor }: Awaited<ReturnType<typeof found>>,
    asked: { row: AdviceRow | null; change: string | null },
    form: FormState | null = null,
    status = 200,
  ) => {
    const { row } = asked;
    const all = row === null ? [] : proposals(profile.setup, row, limit);
    const shown = named(all, asked.change) ?? all[0] ?? null;
    return reply.page(
      AdvicePage({
        shell: reply.shell(),
        slug: club.slug,
        profile,
        limitPermille: limit,
        sections,
        row,
        tried: row === null || shown === null ? null : lookAt(profile.setup, row, shown, motor),
        others: all.filter((one) => one !== shown),
        form: form ?? freshForm({ note: noteOf(profile.setup, row, shown) }),
      }),
      status,
    );
  };

  app.get(path, own, async (request, reply) => page(reply, await found(reply), querySchema.parse(request.query)));

  app.post(path, own, async (request, reply) => {
    const here = await found(reply);
    const { club, profile } = here;
    const read = readForm(trySchema, request.body);
    if (!read.ok) return page(reply, here, querySchema.parse(read.form.typed), read.form, 422);
    const { row, change, version, note } = read.values;
    const done = await once<{ conflict: number } | { gone: true }>(app, request, async (tx) => {
      if (version !== profile.latest) return { conflict: profile.latest };
      const chosen = named(proposals(profile.setup, row, here.limit), change);
      if (!chosen) return { gone: true };
      const fresh = { setup: chosen.profile, note, author: authorOf(request), origin: null };
      const saved = await addVersion(tx, club.id, profile.id, fresh, version);
      if (saved === null) throw new Refusal('notFound');
      return 'conflict' in saved ? saved : `${urls.profile(club.slug, profile.id)}?saved=${saved.version}`;
    });
    if (typeof done === 'string') return reply.see(done);
    if ('gone' in done) return page(reply, here, { row, change: null }, withError(read.form, '', t.gone), 422);
    return page(reply, await found(reply), read.values, withError(read.form, '', t.conflict(done.conflict)), 409);
  });
};

const named = (all: readonly Proposal[], setting: string | null) =>
  all.find(({ change }) => change.setting === setting) ?? null;

/** What the version's note begins with: the change, and why. */
const noteOf = (setup: Profile, row: AdviceRow | null, shown: Proposal | null) =>
  row === null || shown === null ? '' : t.note(changeWords(setup, shown.profile), t.rows[row].says);

/** A change as the page shows it. */
function lookAt(setup: Profile, row: AdviceRow, proposed: Proposal, motor: CarMotor | null) {
  const locks = motor ? lockingOn(motor) : undefined;
  return {
    ...proposed,
    words: comparisonWords(compareProfiles(setup, proposed.profile, { locks })),
    pictures: picturesOf(proposed.profile, setup, null),
    hot: bringsHeat(row, setup, proposed.profile),
  };
}
