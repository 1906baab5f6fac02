import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import type { ClubTx } from '../../db/client.ts';
import { fields } from '../../views/texts/en/fields.ts';
import { units as t } from '../../views/texts/en/units.ts';
import { type UnitDone, UnitPage, unitDone } from '../../views/unit.tsx';
import { UnitTokenPage } from '../../views/unit-token.tsx';
import { type Holders, NewUnitPage, UnitsPage } from '../../views/units.tsx';
import { urls } from '../../views/urls.ts';
import { once } from '../accounts/once-desk.ts';
import { selectDrivers } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { clubOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { own } from '../profiles/kept-profile.ts';
import { mayGrant } from '../profiles/owner.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { selectLanes, selectTracks } from '../tracks/store.ts';
import { archiveUnit, noteTouched, putUnit, renewToken, revokeToken, saveUnit } from './actions.ts';
import { selectCalibratedUnits, selectCalibrations } from './calibration-store.ts';
import { holderField, ownUnitSchema, touchedFormSchema, unitSchema } from './schemas.ts';
import { selectUnits, type UnitHolder } from './store.ts';
import { unitOf } from './unit-desk.ts';

/** The list of units, and one unit: its name and holder, its mechanical setting, its token. */
export const unitPageRoutes: FastifyPluginAsync = async (app) => {
  app.get('/c/:club/units', own, async (request, reply) => {
    const club = clubOf(request);
    const { visitor } = request;
    const driverId = visitor?.role === 'director' ? null : (visitor?.driverId ?? '');
    const page = await app.db.readClub(club.id, async (tx) => ({
      units: await selectUnits(tx, club.id, driverId),
      calibrated: await selectCalibratedUnits(tx, club.id),
    }));
    return reply.page(UnitsPage({ shell: reply.shell(), slug: club.slug, ...page }));
  });

  const showNew = async (reply: FastifyReply, form: FormState | null) => {
    const club = clubOf(reply.request);
    const holders = await app.db.readClub(club.id, (tx) => holdersFor(tx, reply, club.id));
    const page = { shell: reply.shell(), slug: club.slug, holders };
    if (form) return reply.page(NewUnitPage({ ...page, form }), 422);
    return reply.page(NewUnitPage({ ...page, form: freshForm({ holder: '' }) }));
  };
  app.get('/c/:club/units/new', own, async (_request, reply) => showNew(reply, null));
  app.post('/c/:club/units/new', own, async (request, reply) => {
    const club = clubOf(request);
    const read = readValues(reply, null);
    if (!read.ok) return showNew(reply, read.form);
    const done = await once(app, request, async (tx) => {
      const id = await putUnit(tx, club.id, read.values);
      return id === null ? { missing: 'holder' } : urls.unit(club.slug, id);
    });
    if (typeof done === 'string') return reply.see(done);
    return showNew(reply, withError(read.form, done.missing, fields.choice));
  });

  const show = async (reply: FastifyReply, form: FormState | null) => {
    const { club, key, unit } = await unitOf(app, reply.request);
    const found = await app.db.readClub(club.id, async (tx) => ({
      calibrations: await selectCalibrations(tx, key),
      holders: await holdersFor(tx, reply, club.id, unit),
    }));
    const mayMakeToken = mayGrant(reply.request.visitor, unit.driverId);
    const page = { shell: reply.shell(), slug: club.slug, zone: club.zone, unit, mayMakeToken, ...found };
    if (form) return reply.page(UnitPage({ ...page, form, done: null }), 422);
    const fresh = freshForm({ name: unit.name, holder: holderField(unit) });
    return reply.page(UnitPage({ ...page, form: fresh, done: doneOf(reply.request.query) }));
  };
  app.get('/c/:club/units/:unit', own, async (_request, reply) => show(reply, null));
  app.post('/c/:club/units/:unit', own, async (request, reply) => {
    const { club, key, unit } = await unitOf(app, request);
    const { driverId, trackId, lane } = unit;
    const read = readValues(reply, { driverId, trackId, lane });
    if (!read.ok) return show(reply, read.form);
    const missing = await saveUnit(app.db, key, read.values);
    if (missing === 'unit') throw new Refusal('notFound');
    if (missing !== null) return show(reply, withError(read.form, missing, fields.choice));
    return reply.see(`${urls.unit(club.slug, key.id)}?done=saved`);
  });

  app.post('/c/:club/units/:unit/touched', own, async (request, reply) => {
    const { club, key } = await unitOf(app, request);
    const read = readForm(touchedFormSchema, request.body);
    if (!read.ok) throw new Refusal('malformed');
    await noteTouched(app.db, key, read.values.mechanicalSetting);
    return reply.see(`${urls.unit(club.slug, key.id)}?done=touched`);
  });

  app.post('/c/:club/units/:unit/token', own, async (request, reply) => {
    const { club, key, unit } = await unitOf(app, request);
    if (!mayGrant(request.visitor, unit.driverId)) throw new Refusal('notAllowedOwn', t.tokenElsewhere);
    const token = await renewToken(app.db, key);
    if (token === null) throw new Refusal('notFound');
    const apiUrl = reply.linkTo('/api/v1/units/me');
    return reply.page(UnitTokenPage({ shell: reply.shell(), slug: club.slug, unit, token, apiUrl }));
  });
  app.post('/c/:club/units/:unit/revoke', own, async (request, reply) => {
    const { club, key } = await unitOf(app, request);
    await revokeToken(app.db, key);
    return reply.see(urls.unit(club.slug, key.id));
  });

  for (const what of ['archive', 'restore'] as const) {
    app.post(`/c/:club/units/:unit/${what}`, own, async (request, reply) => {
      const { club, key } = await unitOf(app, request);
      await archiveUnit(app.db, key, what === 'archive');
      return reply.see(what === 'archive' ? urls.inClub(club.slug, 'units') : urls.unit(club.slug, key.id));
    });
  }
};

/**
 * The form of a unit. A director says whose it is; a driver's new one is their own, and stays whose it is.
 *
 * @param stays whose the unit is; null for a new one
 */
function readValues(reply: FastifyReply, stays: ReturnType<typeof holderOfDriver> | null) {
  const { body, visitor } = reply.request;
  if (visitor?.role === 'director') {
    const read = readForm(unitSchema, body);
    return read.ok ? { ...read, values: { name: read.values.name, ...read.values.holder } } : read;
  }
  const read = readForm(ownUnitSchema, body);
  if (!read.ok) return read;
  const holder = stays ?? holderOfDriver(visitor?.driverId ?? null);
  if (holder.driverId === null) throw new Refusal('notAllowedOwn');
  return { ...read, values: { ...read.values, ...holder } };
}

const holderOfDriver = (driverId: string | null) => ({
  driverId,
  trackId: null as string | null,
  lane: null as number | null,
});

/** Whom a director may give a unit to, and whoever has it now, also where that was archived; nobody else may. */
async function holdersFor(
  tx: ClubTx,
  reply: FastifyReply,
  clubId: string,
  now: Pick<UnitHolder, 'driverId' | 'trackId'> | null = null,
): Promise<Holders | null> {
  if (reply.request.visitor?.role !== 'director') return null;
  const drivers = await selectDrivers(tx, clubId, { archived: true });
  const tracks = (await selectTracks(tx, clubId, { imported: true })).filter(
    ({ id, imported, archivedAt }) => (!imported && archivedAt === null) || id === now?.trackId,
  );
  const lanes = await Promise.all(tracks.map(({ id }) => selectLanes(tx, clubId, id)));
  return {
    drivers: drivers.filter(({ id, archivedAt }) => archivedAt === null || id === now?.driverId),
    tracks: tracks.map(({ id, name }, i) => ({ id, name, lanes: (lanes[i] ?? []).map(({ number }) => number) })),
  };
}

function doneOf(query: unknown): UnitDone | null {
  const { done } = query as { done?: unknown };
  return unitDone.find((one) => one === done) ?? null;
}
