import { randomInt } from 'node:crypto';
import type { FastifyPluginAsync } from 'fastify';
import { DriverPage, DriversPage, EditDriverPage, NewDriversPage } from '../../views/drivers.tsx';
import { nicknameWords, drivers as t } from '../../views/texts/en/drivers.ts';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { addDrivers, archiveDriver, changeDriver, type Taken } from './actions.ts';
import { selectCars } from './cars-store.ts';
import { suggestNickname } from './nicknames.ts';
import { driverSchema, severalSchema } from './schemas.ts';
import { selectDriverNumber, selectDrivers, selectHistory, selectOptionalDriver } from './store.ts';

const takenSentence = ({ name, archived }: Taken) => (archived ? t.takenArchived(name) : t.taken(name));

export const driverRoutes: FastifyPluginAsync = async (app) => {
  const director = { config: { access: 'director' } } as const;
  const fresh = () => freshForm({ public: 'on', marshals: 'yes', paceGroup: '', nightsBefore: '0' });

  app.get('/c/:club/drivers', director, async (request, reply) => {
    const club = clubOf(request);
    const drivers = await app.db.readClub(club.id, (tx) => selectDrivers(tx, club.id, { archived: true }));
    const { added } = request.query as { added?: unknown };
    const count = typeof added === 'string' && /^[1-9]\d{0,2}$/.test(added) ? Number(added) : null;
    return reply.page(DriversPage({ shell: reply.shell(), slug: club.slug, drivers, added: count }));
  });

  app.get('/c/:club/drivers/new', director, async (request, reply) => {
    const club = clubOf(request);
    let one = fresh();
    if ((request.query as { suggest?: unknown }).suggest !== undefined) {
      const all = await app.db.readClub(club.id, (tx) => selectDrivers(tx, club.id, { archived: true }));
      const taken = new Set(all.map((driver) => driver.nicknameKey));
      one = freshForm({ ...one.typed, nickname: suggestNickname(nicknameWords, taken, (below) => randomInt(below)) });
    }
    return reply.page(NewDriversPage({ shell: reply.shell(), slug: club.slug, one, several: fresh() }));
  });

  app.post('/c/:club/drivers/new', director, async (request, reply) => {
    const club = clubOf(request);
    const again = (form: FormState) =>
      reply.page(NewDriversPage({ shell: reply.shell(), slug: club.slug, one: form, several: fresh() }), 422);
    const read = readForm(driverSchema, request.body);
    if (!read.ok) return again(read.form);
    const one = [{ line: 1, nickname: read.values.nickname }];
    const taken = await addDrivers(app.db, club.id, one, read.values);
    if (taken) return again(withError(read.form, 'nickname', takenSentence(taken)));
    return reply.see(`${urls.inClub(club.slug, 'drivers')}?added=1`);
  });

  app.post('/c/:club/drivers/several', director, async (request, reply) => {
    const club = clubOf(request);
    const again = (form: FormState) =>
      reply.page(NewDriversPage({ shell: reply.shell(), slug: club.slug, one: fresh(), several: form }), 422);
    const read = readForm(severalSchema, request.body);
    if (!read.ok) return again(read.form);
    const { nicknames } = read.values;
    const taken = await addDrivers(app.db, club.id, nicknames, { public: read.values.public, marshals: true });
    if (taken) return again(withError(read.form, 'nicknames', t.line(taken.line, takenSentence(taken))));
    return reply.see(`${urls.inClub(club.slug, 'drivers')}?added=${nicknames.length}`);
  });

  app.get('/c/:club/drivers/:driver', { config: { access: 'everyone' } }, async (request, reply) => {
    const club = clubOf(request);
    const id = idOf(request, 'driver');
    const found = await app.db.readClub(club.id, async (tx) => {
      const driver = await selectOptionalDriver(tx, club.id, id);
      if (!driver) return null;
      // Whoever is not signed in may be anybody on the internet.
      const named = driver.public || request.visitor !== null;
      const name = named ? driver.nickname : t.hiddenName(await selectDriverNumber(tx, driver));
      const cars = (await selectCars(tx, club.id)).filter((car) => car.driverId === id);
      return { name, cars, history: await selectHistory(tx, club.id, id) };
    });
    if (!found) throw new Refusal('notFound');
    const editHref = request.visitor?.role === 'director' ? urls.driver(club.slug, id, 'edit') : null;
    const paceHref = urls.driver(club.slug, id, 'pace');
    const isOwn = request.visitor?.role === 'director' || request.visitor?.driverId === id;
    const profilesHref = isOwn ? urls.driver(club.slug, id, 'profiles') : null;
    const hrefs = { editHref, paceHref, profilesHref };
    return reply.page(DriverPage({ shell: reply.shell(), slug: club.slug, ...hrefs, ...found }));
  });

  app.get('/c/:club/drivers/:driver/edit', director, async (request, reply) => {
    const club = clubOf(request);
    const id = idOf(request, 'driver');
    const driver = await app.db.readClub(club.id, (tx) => selectOptionalDriver(tx, club.id, id));
    if (!driver) throw new Refusal('notFound');
    const form = freshForm({
      nickname: driver.nickname,
      ...(driver.public ? { public: 'on' } : {}),
      marshals: driver.marshals ? 'yes' : 'no',
      paceGroup: driver.paceGroup ?? '',
      nightsBefore: String(driver.nightsBefore),
    });
    return reply.page(EditDriverPage({ shell: reply.shell(), slug: club.slug, driver, form }));
  });

  app.post('/c/:club/drivers/:driver/edit', director, async (request, reply) => {
    const club = clubOf(request);
    const id = idOf(request, 'driver');
    const again = async (form: FormState) => {
      const driver = await app.db.readClub(club.id, (tx) => selectOptionalDriver(tx, club.id, id));
      if (!driver) throw new Refusal('notFound');
      return reply.page(EditDriverPage({ shell: reply.shell(), slug: club.slug, driver, form }), 422);
    };
    const read = readForm(driverSchema, request.body);
    if (!read.ok) return again(read.form);
    const result = await changeDriver(app.db, club.id, id, read.values);
    if (result.changed) return reply.see(urls.inClub(club.slug, 'drivers'));
    if (!result.taken) throw new Refusal('notFound');
    return again(withError(read.form, 'nickname', takenSentence(result.taken)));
  });

  for (const what of ['archive', 'restore'] as const) {
    app.post(`/c/:club/drivers/:driver/${what}`, director, async (request, reply) => {
      const club = clubOf(request);
      await archiveDriver(app.db, club.id, idOf(request, 'driver'), what === 'archive');
      return reply.see(urls.inClub(club.slug, 'drivers'));
    });
  }
};
