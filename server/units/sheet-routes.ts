import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import { UnitSheetPage } from '../../views/unit-sheet.tsx';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { readSheet, unlimitedSheet } from '../profiles/convert/sheet-schema.ts';
import { own } from '../profiles/kept-profile.ts';
import type { FormState } from '../shared/form.ts';
import { saveSheet } from './actions.ts';
import { emptySheet, readSheetForm, sheetForm } from './sheet-form.ts';
import type { NamedUnit } from './store.ts';
import { unitOf } from './unit-desk.ts';

/** What a unit can do, as its owner types it in. */
export const unitSheetRoutes: FastifyPluginAsync = async (app) => {
  const show = async (reply: FastifyReply, form: FormState | null) => {
    const { club, unit } = await unitOf(app, reply.request);
    const page = { shell: reply.shell(), slug: club.slug, unit };
    if (form) return reply.page(UnitSheetPage({ ...page, form }), 422);
    const { begin } = reply.request.query as { begin?: unknown };
    return reply.page(UnitSheetPage({ ...page, form: sheetForm(sheetToBegin(unit, begin)) }));
  };
  app.get('/c/:club/units/:unit/sheet', own, async (_request, reply) => show(reply, null));
  app.post('/c/:club/units/:unit/sheet', own, async (request, reply) => {
    const { club, key } = await unitOf(app, request);
    const read = readSheetForm((request.body ?? {}) as Record<string, string | string[]>);
    if (!read.ok) return show(reply, read.form);
    if (!(await saveSheet(app.db, key, read.sheet))) throw new Refusal('notFound');
    return reply.see(`${urls.unit(club.slug, key.id)}?done=sheet`);
  });
};

function sheetToBegin(unit: NamedUnit, begin: unknown) {
  if (begin === 'everything') return unlimitedSheet;
  const kept = unit.sheet === null || begin === 'nothing' ? null : readSheet(unit.sheet);
  return kept?.ok ? kept.sheet : emptySheet;
}
