import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { CarMotorPage } from '../../views/car-motor.tsx';
import { motor as t } from '../../views/texts/en/motor.ts';
import { urls } from '../../views/urls.ts';
import { type Car, selectOptionalCar } from '../drivers/cars-store.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { own } from './kept-profile.ts';
import { fromBench } from './motor/bench.ts';
import { presets } from './motor/motor.ts';
import { benchSchema, motorForm, motorFormSchema, withBench } from './motor/motor-form.ts';
import { isPreset } from './motor/motor-schema.ts';
import { removeCarMotor, saveCarMotor } from './motor-actions.ts';
import { selectOptionalCarMotor } from './motor-store.ts';
import { mayKeep } from './owner.ts';

const base = '/c/:club/cars/:car/motor';

/** What is known of a car's motor: measured, or looked up. */
export const motorRoutes: FastifyPluginAsync = async (app) => {
  /** @throws Refusal when there is no such car, or it belongs to another driver or to the club */
  const ownCar = async (request: FastifyRequest): Promise<Car> => {
    const club = clubOf(request);
    const id = idOf(request, 'car');
    const car = await app.db.readClub(club.id, (tx) => selectOptionalCar(tx, club.id, id));
    if (!car) throw new Refusal('notFound');
    if (!mayKeep(request.visitor, car.driverId)) throw new Refusal('notAllowedOwn');
    return car;
  };

  const show = (reply: FastifyReply, car: Car, more: Partial<Shown> & Pick<Shown, 'form'>, status = 200) => {
    const page = { shell: reply.shell(), slug: clubOf(reply.request).slug, car, ...nothingElse, ...more };
    return reply.page(CarMotorPage(page), status);
  };

  app.get(base, own, async (request, reply) => {
    const car = await ownCar(request);
    const club = clubOf(request);
    const kept = await app.db.readClub(club.id, (tx) => selectOptionalCarMotor(tx, club.id, car.id));
    const query = request.query as Record<string, unknown>;
    const form = motorForm(isPreset(query.from) ? presets[query.from] : kept);
    const from = isPreset(query.from) ? query.from : null;
    const known = kept !== null;
    if (query.heldV === undefined) return show(reply, car, { form, from, known, saved: query.saved === '1' && known });
    const bench = readForm(benchSchema, query);
    if (!bench.ok) return show(reply, car, { form, from, known, bench: bench.form }, 422);
    const values = fromBench(bench.values);
    if (!values) {
      const wrong = withError(bench.form, 'heldV', t.car.bench.impossible);
      return show(reply, car, { form, from, known, bench: wrong }, 422);
    }
    return show(reply, car, { form: withBench(form, values), from, known, bench: bench.form, computed: true });
  });

  app.post(base, own, async (request, reply) => {
    const car = await ownCar(request);
    const read = readForm(motorFormSchema, request.body);
    const club = clubOf(request);
    if (!read.ok) return show(reply, car, { form: read.form }, 422);
    await saveCarMotor(app.db, club.id, car.id, read.values);
    return reply.see(`${urls.car(club.slug, car.id, 'motor')}?saved=1`);
  });

  app.post(`${base}/remove`, own, async (request, reply) => {
    const car = await ownCar(request);
    const club = clubOf(request);
    await removeCarMotor(app.db, club.id, car.id);
    return reply.see(urls.car(club.slug, car.id, 'motor'));
  });
};

/** What a page of a motor shows beside the car. */
type Shown = {
  form: FormState;
  bench: FormState;
  /** The preset that the form begins with. */
  from: string | null;
  /** Whether values are kept. */
  known: boolean;
  /** They have just been kept. */
  saved: boolean;
  /** The form holds what the bench gave, and nothing is kept yet. */
  computed: boolean;
};

const nothingElse = { bench: freshForm(), from: null, known: false, saved: false, computed: false };
