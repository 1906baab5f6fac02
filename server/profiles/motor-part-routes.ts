import type { FastifyInstance, FastifyRequest } from 'fastify';
import { deskNames } from '../../views/profile-desk.tsx';
import type { MotorPartProps } from '../../views/profile-motor.tsx';
import { urls } from '../../views/urls.ts';
import type { Club } from '../clubs/store.ts';
import { selectOptionalCar } from '../drivers/cars-store.ts';
import type { Profile } from './model/profile.ts';
import { chosenMotor } from './motor/choice.ts';
import { motorStory } from './motor/story.ts';
import { selectOptionalCarMotor } from './motor-store.ts';
import { mayKeep } from './owner.ts';

/** A profile as it is looked at. */
type Shown = {
  /** The car it is for, if it is for a certain one. */
  carId: string | null;
  setup: Profile;
  /** The version that it is laid over. */
  over: { version: number; setup: Profile } | null;
};

/** What a motor makes of a profile, as a page shows it: the motor that `?motor=` names, or the car's own. */
export async function motorPart(
  app: FastifyInstance,
  request: FastifyRequest,
  club: Pick<Club, 'id' | 'slug'>,
  { carId, setup, over }: Shown,
): Promise<Omit<MotorPartProps, 'action'>> {
  const known =
    carId === null
      ? null
      : await app.db.readClub(club.id, async (tx) => ({
          car: await selectOptionalCar(tx, club.id, carId),
          motor: await selectOptionalCarMotor(tx, club.id, carId),
        }));
  const measured = known?.motor ?? null;
  const { chosen, motor } = chosenMotor((request.query as { motor?: unknown }).motor, measured);
  const car = known?.car && mayKeep(request.visitor, known.car.driverId) ? known.car : null;
  return {
    story: motorStory(setup, motor, over?.setup ?? null),
    names: deskNames(over),
    chosen,
    measured: measured !== null,
    carHref: car && urls.car(club.slug, car.id, 'motor'),
  };
}
