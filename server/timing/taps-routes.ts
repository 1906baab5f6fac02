import type { FastifyPluginAsync } from 'fastify';
import { timing as t } from '../../views/texts/en/timing.ts';
import { readIdField, urls } from '../../views/urls.ts';
import { hashSecret, newId } from '../accounts/tokens.ts';
import { Refusal } from '../errors.ts';
import { selectOptionalMeeting } from '../meetings/store.ts';
import { clubOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import type { Ingest } from './ingest-actions.ts';
import type { TrackKey } from './ingest-store.ts';
import { reportLimitBytes, tapFormSchema, tapsSchema, whatIsWrong } from './schemas.ts';
import { admit, writeAnswer } from './sensor-routes.ts';

/** A timekeeper's lane buttons: with scripts the phone is a device like any sensor, without them the server is. */
export const tapsRoutes: FastifyPluginAsync<{ ingest: Ingest }> = async (app, { ingest }) => {
  /** This run of the program, as the power-up of the device that stands for pages without scripts. */
  const boot = newId();
  let seq = 0;

  app.post(
    '/c/:club/meetings/:meeting/taps',
    { config: { access: 'timing' }, bodyLimit: reportLimitBytes },
    async (request, reply) => {
      const receivedUs = app.clock.nowUs();
      const club = clubOf(request);
      const { visitor } = request;
      const meetingId = readIdField((request.params as { meeting: string }).meeting);
      const meeting =
        meetingId === null
          ? null
          : await app.db.readClub(club.id, (tx) => selectOptionalMeeting(tx, club.id, meetingId));
      if (!meeting || !visitor) throw new Refusal('notFound');
      const track: TrackKey = { clubId: club.id, trackId: meeting.trackId };

      if (request.headers['content-type']?.startsWith('application/json')) {
        const parsed = tapsSchema.safeParse(request.body);
        if (!parsed.success) throw new Refusal('malformed', whatIsWrong(parsed.error));
        const deviceId = derivedId(`phone:${visitor.tokenHash}`);
        admit(reply, ingest, { ...track, deviceId }, parsed.data.crossings.length);
        const answer = await ingest.store(track, {
          ...parsed.data,
          reporter: { kind: 'phone', id: deviceId, name: visitor.label },
          bits: 64,
          receivedUs,
          commandId: null,
        });
        return writeAnswer(answer, app.clock.nowUs());
      }

      const form = readForm(tapFormSchema, request.body);
      if (!form.ok) throw new Refusal('malformed');
      const { lane, command_id: commandId = null } = form.values;
      seq += 1;
      const answer = await ingest.store(track, {
        reporter: { kind: 'server', id: derivedId(`server:${track.trackId}`), name: t.server },
        boot,
        bits: 64,
        sentUs: receivedUs,
        rttUs: null,
        receivedUs,
        commandId,
        crossings: [{ seq, lane, tUs: receivedUs }],
      });
      if (answer.rejected.length > 0) throw new Refusal('malformed', t.noSuchLane(lane));
      return reply.see(urls.meeting(club.slug, meeting.id, 'timekeeper'));
    },
  );
};

/** The id of a device that nobody registered: the same for the same origin, and saying nothing about it. */
function derivedId(origin: string): string {
  return hashSecret(origin).slice(0, 16);
}
