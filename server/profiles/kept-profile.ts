import type { FastifyInstance, FastifyRequest } from 'fastify';
import { profiles as t } from '../../views/texts/en/profiles.ts';
import { urls } from '../../views/urls.ts';
import type { Club } from '../clubs/store.ts';
import { type Driver, selectOptionalDriver } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { mostProfiles, type NotCreated } from './actions.ts';
import { mayKeep } from './owner.ts';
import { type KeptProfile, selectOptionalProfile } from './store.ts';

/** Access of every route about somebody's own profiles; the functions below then look whose they are. */
export const own = { config: { access: 'own' } } as const;

/**
 * The profile that the address names, for somebody who may keep it.
 *
 * @throws Refusal when there is none, or it is another driver's
 */
export async function keptProfile(
  app: FastifyInstance,
  request: FastifyRequest,
): Promise<{ club: Club; profile: KeptProfile }> {
  const club = clubOf(request);
  const id = idOf(request, 'profile');
  const profile = await app.db.readClub(club.id, (tx) => selectOptionalProfile(tx, club.id, id));
  if (!profile) throw new Refusal('notFound');
  if (!mayKeep(request.visitor, profile.driverId)) throw new Refusal('notAllowedOwn');
  return { club, profile };
}

/**
 * The driver that the address names, for somebody who may keep that driver's profiles.
 *
 * @throws Refusal when there is none, or it is another driver
 */
export async function keptDriver(
  app: FastifyInstance,
  request: FastifyRequest,
): Promise<{ club: Club; driver: Driver }> {
  const club = clubOf(request);
  const id = idOf(request, 'driver');
  const driver = await app.db.readClub(club.id, (tx) => selectOptionalDriver(tx, club.id, id));
  if (!driver) throw new Refusal('notFound');
  if (!mayKeep(request.visitor, driver.id)) throw new Refusal('notAllowedOwn');
  return { club, driver };
}

/** Who saves: as rulings are signed. */
export function authorOf(request: FastifyRequest): string {
  return request.visitor?.label ?? '';
}

/** The address of a profile that was just made; or why none was. */
export function madeAt<Refused extends object>(slug: string, made: { id: string } | Refused): string | Refused {
  return 'id' in made ? `${urls.profile(slug, made.id)}?saved=1` : made;
}

/** Why no profile was made, as a form says it. */
export function notCreatedSentence(refused: NotCreated): string {
  return refused === 'full' ? t.fresh.full(mostProfiles) : t.fresh.unknown;
}
