import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import { defaultLook, lanePatterns } from '../../views/components/lane-defaults.ts';
import { lapTime } from '../../views/format.ts';
import { tracks as t } from '../../views/texts/en/tracks.ts';
import { type ListedTrack, NewTrackPage, TrackPage, TracksPage } from '../../views/tracks.tsx';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { archiveTrack, changeTrack, createTrack, type TrackChange } from './actions.ts';
import { defaultLane, defaultTrackSettings } from './defaults.ts';
import { meantRollTimes } from './power.ts';
import { type TrackForm, trackSchema } from './schemas.ts';
import { suggestedMinLapUs } from './settings.ts';
import { type NewLane, selectLanes, selectOptionalTrack, selectTracks } from './store.ts';
import { secondsText, typedLanes, typedSettings } from './typed.ts';
import { selectBestCleanLaps } from './use-store.ts';

const schema = trackSchema(lanePatterns);

export const trackRoutes: FastifyPluginAsync = async (app) => {
  const director = { config: { access: 'director' } } as const;

  app.get('/c/:club/tracks', director, async (request, reply) => {
    const club = clubOf(request);
    const tracks = await app.db.readClub(club.id, async (tx) => {
      const own = (await selectTracks(tx, club.id, { imported: true })).filter((track) => !track.imported);
      const listed: ListedTrack[] = [];
      for (const track of own) listed.push({ ...track, lanes: await selectLanes(tx, club.id, track.id) });
      return listed;
    });
    return reply.page(TracksPage({ shell: reply.shell(), slug: club.slug, tracks }));
  });

  app.get('/c/:club/tracks/new', director, async (request, reply) => {
    const form = freshForm({ ...typedSettings(defaultTrackSettings), lanes: '4' });
    return reply.page(NewTrackPage({ shell: reply.shell(), slug: clubOf(request).slug, form }));
  });

  app.post('/c/:club/tracks/new', director, async (request, reply) => {
    const club = clubOf(request);
    const read = readForm(schema, request.body);
    if (!read.ok) return reply.page(NewTrackPage({ shell: reply.shell(), slug: club.slug, form: read.form }), 422);
    const id = await createTrack(app.db, club.id, toChange(read.values));
    return reply.see(`${urls.track(club.slug, id)}?done=created`);
  });

  const showTrack = async (
    reply: FastifyReply,
    id: string,
    answer: { form: FormState; status: 422 } | { done: string | null },
  ) => {
    const club = clubOf(reply.request);
    const found = await app.db.readClub(club.id, async (tx) => {
      const track = await selectOptionalTrack(tx, club.id, id);
      if (!track || track.imported) return null;
      const best = await selectBestCleanLaps(tx, club.id, id);
      return { track: { ...track, lanes: await selectLanes(tx, club.id, id) }, best };
    });
    if (!found) throw new Refusal('notFound');
    const { track, best } = found;
    const page = {
      shell: reply.shell(),
      slug: club.slug,
      track,
      suggestions: new Map([...best].map(([lane, us]) => [lane, suggestion(us)])),
    };
    if ('form' in answer) return reply.page(TrackPage({ ...page, form: answer.form, done: null }), answer.status);
    const form = freshForm({ ...typedSettings(track), ...typedLanes(track.lanes) });
    return reply.page(TrackPage({ ...page, form, done: answer.done }));
  };

  app.get('/c/:club/tracks/:track', director, async (request, reply) => {
    const { done } = request.query as { done?: unknown };
    const sentence = done === 'created' ? t.created : done === 'saved' ? t.saved : null;
    return showTrack(reply, idOf(request, 'track'), { done: sentence });
  });

  app.post('/c/:club/tracks/:track', director, async (request, reply) => {
    const club = clubOf(request);
    const id = idOf(request, 'track');
    const read = readForm(schema, request.body);
    if (!read.ok) return showTrack(reply, id, { form: read.form, status: 422 });
    const result = await changeTrack(app.db, club.id, id, toChange(read.values));
    if (result.changed) return reply.see(`${urls.track(club.slug, id)}?done=saved`);
    if (!result.needed) throw new Refusal('notFound');
    const sentence = t.laneNeeded(result.needed.lane, result.needed.meetingName);
    return showTrack(reply, id, { form: withError(read.form, 'lanes', sentence), status: 422 });
  });

  for (const what of ['archive', 'restore'] as const) {
    app.post(`/c/:club/tracks/:track/${what}`, director, async (request, reply) => {
      const club = clubOf(request);
      await archiveTrack(app.db, club.id, idOf(request, 'track'), what === 'archive');
      return reply.see(urls.inClub(club.slug, 'tracks'));
    });
  }
};

function toChange({ name, startMode, power, holdRoll, endRoll, lanes, described, ...shown }: TrackForm): TrackChange {
  const { shownHoldRoll, shownEndRoll } = shown;
  const before =
    shownHoldRoll === undefined || shownEndRoll === undefined
      ? null
      : { holdRollUs: shownHoldRoll, endRollUs: shownEndRoll };
  return {
    name,
    startMode,
    ...meantRollTimes(power, { holdRollUs: holdRoll, endRollUs: endRoll }, before),
    lanes: Array.from({ length: lanes }, (_, index) => described[index] ?? usualLane(index + 1)),
  };
}

function usualLane(number: number): NewLane {
  const { colour, pattern } = defaultLook(number);
  return { number, colour: colour.toLowerCase(), pattern, ...defaultLane };
}

function suggestion(bestUs: number): { best: string; suggested: string } {
  return { best: lapTime(bestUs), suggested: secondsText(suggestedMinLapUs(bestUs)) };
}
