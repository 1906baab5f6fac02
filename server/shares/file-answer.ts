import type { FastifyReply } from 'fastify';
import { sharedText } from '../profiles/exchange/shared-file.ts';
import type { Profile } from '../profiles/model/profile.ts';
import { attachment } from '../shared/attachment.ts';

/** Answers with a profile's file. */
export function sendProfile(reply: FastifyReply, profile: Profile): FastifyReply {
  return reply
    .type('application/json; charset=utf-8')
    .header('content-disposition', attachment([profile.name], 'json'))
    .header('cache-control', 'no-store')
    .send(sharedText(profile));
}
