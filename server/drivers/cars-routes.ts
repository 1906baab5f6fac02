import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import { CarPage, CarsPage } from '../../views/cars.tsx';
import { fields } from '../../views/texts/en/fields.ts';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { archiveCar, saveCar } from './cars-actions.ts';
import { type Car, selectCars, selectClasses, selectOptionalCar } from './cars-store.ts';
import { carSchema } from './schemas.ts';
import { selectDrivers } from './store.ts';

export const carRoutes: FastifyPluginAsync = async (app) => {
  const director = { config: { access: 'director' } } as const;

  app.get('/c/:club/cars', director, async (request, reply) => {
    const club = clubOf(request);
    const cars = await app.db.readClub(club.id, (tx) => selectCars(tx, club.id, { archived: true }));
    return reply.page(CarsPage({ shell: reply.shell(), slug: club.slug, cars }));
  });

  /** @param id null for the form of a new car */
  const show = async (reply: FastifyReply, id: string | null, form: FormState | null) => {
    const club = clubOf(reply.request);
    const found = await app.db.readClub(club.id, async (tx) => ({
      car: id === null ? null : await selectOptionalCar(tx, club.id, id),
      classes: await selectClasses(tx, club.id, { archived: true }),
      drivers: await selectDrivers(tx, club.id, { archived: true }),
    }));
    if (id !== null && !found.car) throw new Refusal('notFound');
    const page = { shell: reply.shell(), slug: club.slug, ...found };
    if (form) return reply.page(CarPage({ ...page, form }), 422);
    return reply.page(CarPage({ ...page, form: formOf(found.car) }));
  };

  const save = async (reply: FastifyReply, id: string | null) => {
    const club = clubOf(reply.request);
    const read = readForm(carSchema, reply.request.body);
    if (!read.ok) return show(reply, id, read.form);
    const { name, carClass, driver } = read.values;
    const missing = await saveCar(app.db, club.id, id, { name, classId: carClass, driverId: driver });
    if (missing === null) return reply.see(urls.inClub(club.slug, 'cars'));
    if (missing === 'car') throw new Refusal('notFound');
    return show(reply, id, withError(read.form, missing, fields.choice));
  };

  app.get('/c/:club/cars/new', director, async (_request, reply) => show(reply, null, null));
  app.post('/c/:club/cars/new', director, async (_request, reply) => save(reply, null));
  app.get('/c/:club/cars/:car', director, async (request, reply) => show(reply, idOf(request, 'car'), null));
  app.post('/c/:club/cars/:car', director, async (request, reply) => save(reply, idOf(request, 'car')));

  for (const what of ['archive', 'restore'] as const) {
    app.post(`/c/:club/cars/:car/${what}`, director, async (request, reply) => {
      const club = clubOf(request);
      await archiveCar(app.db, club.id, idOf(request, 'car'), what === 'archive');
      return reply.see(urls.inClub(club.slug, 'cars'));
    });
  }
};

function formOf(car: Car | null): FormState {
  return freshForm({ name: car?.name ?? '', carClass: car?.classId ?? '', driver: car?.driverId ?? '' });
}
