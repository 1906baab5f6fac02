import { createHash } from 'node:crypto';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ClubTx } from '../../db/client.ts';
import { commandField, csrfField } from '../../views/components/form.tsx';
import { Refusal } from '../errors.ts';
import { clubOf } from '../plugins/club.ts';
import { answerCommand, claimCommand, deleteCommand, selectOptionalAnswer } from './store.ts';

/**
 * Carries a form out once. The same form sent again, as by a double press, changes nothing and is answered as the first
 * one was. With anything else in it, as after the browser's way back, it is another form.
 *
 * @param act does the work in the one transaction that also claims the form; gives the address to go on to, or an object
 *   that says why nothing was done
 * @returns what `act` gave; for a form that was carried out before, the address that it led to
 */
export async function once<Refused extends object>(
  app: FastifyInstance,
  request: FastifyRequest,
  act: (tx: ClubTx) => Promise<string | Refused>,
): Promise<string | Refused> {
  const { id: clubId } = clubOf(request);
  const command = commandIn(request);
  return app.db.withClub(clubId, async (tx) => {
    if (command === null) return act(tx);
    // Waits for a first press that is still being carried out.
    if (!(await claimCommand(tx, clubId, command))) {
      const answer = await selectOptionalAnswer(tx, clubId, command);
      if (answer === null) throw new Refusal('stale');
      return answer;
    }
    const done = await act(tx);
    if (typeof done === 'string') await answerCommand(tx, clubId, command, done);
    else await deleteCommand(tx, clubId, command);
    return done;
  });
}

/**
 * Names a form by who sent it, where to, and everything in it, of which the id that stood in the page is a part. Null for
 * a form without such an id: each of those is carried out.
 */
function commandIn({ body, url, visitor }: FastifyRequest): string | null {
  const { [csrfField]: _csrf, ...fields } = { ...(body as object | null) } as Readonly<Record<string, unknown>>;
  const id = fields[commandField];
  if (typeof id !== 'string' || id === '') return null;
  const sent = [visitor?.tokenHash ?? null, url, Object.entries(fields).sort(([a], [b]) => (a < b ? -1 : 1))];
  return createHash('sha256').update(JSON.stringify(sent)).digest('base64url');
}
