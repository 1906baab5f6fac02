import type { FastifyPluginAsync, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { PreviewPage, PreviewParts } from '../../views/profile-preview.tsx';
import { comparisonWords } from '../../views/texts/en/compare.ts';
import { profilePictures as t } from '../../views/texts/en/profile-pictures.ts';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { clubOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { integerField, optionalField } from '../shared/fields.ts';
import { withError } from '../shared/form.ts';
import { compareProfiles } from './compare/compare.ts';
import { editorForm } from './editor-form.ts';
import { editorSchema } from './editor-schema.ts';
import { setupHash } from './exchange/setup-hash.ts';
import { own } from './kept-profile.ts';
import { type Profile, ranges } from './model/profile.ts';
import { motorPart } from './motor-part-routes.ts';
import { mayKeep } from './owner.ts';
import { picturesOf } from './pictures.ts';
import { idOrNone, versionField } from './schemas.ts';
import { selectOptionalProfile, selectOptionalVersion } from './store.ts';
import { readyTraces, traceFrom } from './trigger-moves.ts';

/** What is looked at: the version to compare with, if any, and the race limit to draw. */
const previewSchema = z.object({
  profile: idOrNone,
  version: optionalField(versionField),
  limit: optionalField(integerField(...ranges.maxDrive)),
  trace: z.string().default('corner'),
  /** Empty while somebody is in the middle of a movement: a motor is then left for later. */
  settled: z.string().default(''),
  traceTyped: z.string().max(1000).default(''),
});

/** What is typed in the editor, drawn and told without saving anything. */
export const profilePreviewRoutes: FastifyPluginAsync = async (app) => {
  app.post('/c/:club/profiles/preview', own, async (request, reply) => {
    const club = clubOf(request);
    const asked = readForm(previewSchema, request.body);
    if (!asked.ok) throw new Refusal('malformed');
    const { limit, trace, traceTyped, settled } = asked.values;
    const saved = await savedVersion(request, asked.values);
    const read = readForm(editorSchema, named(request.body));
    const moved = traceFrom(trace, traceTyped);
    const form = moved === null ? withError(read.form, 'traceTyped', t.trace.wrong) : read.form;
    const shown = read.ok ? read.values : null;
    const { data, words } = look(shown, saved?.setup ?? null, moved ?? readyTraces.corner);
    const view = {
      form,
      data,
      words,
      limitPermille: limit,
      saved: saved && { ...saved, form: editorForm(saved.setup) },
    };
    if (request.wantsFragment()) {
      const over = data?.other && saved ? { version: saved.version, setup: saved.setup } : null;
      const motor =
        saved && shown && settled !== ''
          ? await motorPart(app, request, club, { carId: saved.carId, setup: shown, over })
          : null;
      const action = saved ? urls.profile(club.slug, saved.profileId) : '';
      return reply.fragment(PreviewParts({ ...view, motor: motor && { ...motor, action }, settled: settled !== '' }));
    }
    // Without scripts: the whole page, to look at and to go on from.
    if (saved === null || view.saved === null) throw new Refusal('malformed');
    const pictures = data ?? picturesOf(saved.setup, null);
    const more = { saved: view.saved, data: pictures, shell: reply.shell(), slug: club.slug };
    return reply.page(PreviewPage({ ...view, ...more }));
  });

  /** The version that the form was opened from, for those who may see it. */
  async function savedVersion(request: FastifyRequest, from: { profile: string | null; version: number | null }) {
    const { profile: profileId, version } = from;
    if (profileId === null || version === null) return null;
    const { id: clubId } = clubOf(request);
    const { profile, kept } = await app.db.readClub(clubId, async (tx) => ({
      profile: await selectOptionalProfile(tx, clubId, profileId),
      kept: await selectOptionalVersion(tx, clubId, profileId, version),
    }));
    if (!profile || !kept) throw new Refusal('notFound');
    if (!mayKeep(request.visitor, profile.driverId)) throw new Refusal('notAllowedOwn');
    return { profileId, version, setup: kept.setup, carId: profile.carId };
  }
};

/** A name that is still missing keeps nobody from looking. */
function named(body: unknown): Record<string, unknown> {
  const fields = typeof body === 'object' && body !== null ? (body as Record<string, unknown>) : {};
  return typeof fields.name === 'string' && fields.name.trim() !== '' ? fields : { ...fields, name: '-' };
}

/** Pictures of what is typed over what was saved, and the difference in words; nothing where what is typed is wrong. */
function look(typed: Profile | null, saved: Profile | null, trace: Parameters<typeof picturesOf>[2]) {
  if (typed === null) return { data: null, words: [] };
  const other = saved !== null && setupHash(saved) !== setupHash(typed) ? saved : null;
  const words = other === null ? [] : comparisonWords(compareProfiles(other, typed));
  return { data: picturesOf(typed, other, trace), words };
}
