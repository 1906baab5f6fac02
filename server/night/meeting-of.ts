import type { FastifyInstance, FastifyRequest } from 'fastify';
import { readIdField } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { clubOf } from '../plugins/club.ts';
import type { MeetingNow } from './meeting-now.ts';

/**
 * The meeting that an address names, as it stands now.
 *
 * @throws Refusal `notFound`
 */
export async function meetingOf(app: FastifyInstance, request: FastifyRequest): Promise<MeetingNow> {
  const { meeting } = request.params as { meeting: string };
  const now = await app.watches.now(clubOf(request).id, readIdField(meeting) ?? '');
  if (!now) throw new Refusal('notFound');
  return now;
}
