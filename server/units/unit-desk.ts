import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { Club } from '../clubs/store.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { mayKeep } from '../profiles/owner.ts';
import { type NamedUnit, selectOptionalUnit, type UnitKey } from './store.ts';

/**
 * The unit that the address names, for somebody who may hold it.
 *
 * @throws Refusal when there is none, or it is somebody else's
 */
export async function unitOf(
  app: FastifyInstance,
  request: FastifyRequest,
): Promise<{ club: Club; key: UnitKey; unit: NamedUnit }> {
  const club = clubOf(request);
  const key = { clubId: club.id, id: idOf(request, 'unit') };
  const unit = await app.db.readClub(club.id, (tx) => selectOptionalUnit(tx, key));
  if (!unit) throw new Refusal('notFound');
  if (!mayKeep(request.visitor, unit.driverId)) throw new Refusal('notAllowedOwn');
  return { club, key, unit };
}
