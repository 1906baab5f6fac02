import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { Club } from '../clubs/store.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { mayKeep } from '../profiles/owner.ts';
import { type NamedUnit, selectOptionalUnit, type UnitKey } from './store.ts';

/** Access of every page of a unit; the functions below then look whose it is. */
export const own = { config: { access: 'own' } } as const;

/** Whether a visitor may see and change a unit: the director all of them, a driver those of their own. */
export function mayHold(visitor: FastifyRequest['visitor'], unit: { driverId: string | null }): boolean {
  return visitor?.role === 'director' || (unit.driverId !== null && mayKeep(visitor, unit.driverId));
}

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
  if (!mayHold(request.visitor, unit)) throw new Refusal('notAllowedOwn');
  return { club, key, unit };
}
