import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { TokenPage } from '../../views/device-token.tsx';
import { DevicePage, DevicesPage, type ListedSensor, NewDevicePage } from '../../views/devices.tsx';
import { fields } from '../../views/texts/en/fields.ts';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { selectOptionalTrack, selectTracks, type Track } from '../tracks/store.ts';
import { addSensor, renameSensor, revokeToken, rotateToken } from './device-actions.ts';
import { newSensorSchema, sensorNameSchema } from './device-schemas.ts';
import { deviceState } from './device-state.ts';
import { type Sensor, type SensorKey, selectSensors, selectSetAside } from './device-store.ts';

/** Reports that were set aside and are shown at once. */
const asideShown = 50;

export const deviceRoutes: FastifyPluginAsync = async (app) => {
  const director = { config: { access: 'director' } } as const;
  const keyOf = (request: FastifyRequest): SensorKey => ({
    clubId: clubOf(request).id,
    trackId: idOf(request, 'track'),
    id: idOf(request, 'device'),
  });

  app.get('/c/:club/devices', director, async (request, reply) => {
    const club = clubOf(request);
    const sensors = await app.db.readClub(club.id, async (tx) => {
      const tracks = await selectTracks(tx, club.id, { imported: true });
      const all: ListedSensor[] = [];
      for (const track of tracks.filter((one) => !one.imported)) {
        const sensors = await selectSensors(tx, club.id, track.id);
        all.push(...sensors.map((sensor) => listed(track, sensor)));
      }
      return all;
    });
    return reply.page(DevicesPage({ shell: reply.shell(), slug: club.slug, sensors }));
  });

  const showNew = async (reply: FastifyReply, form: FormState | null) => {
    const club = clubOf(reply.request);
    const tracks = await app.db.readClub(club.id, (tx) => selectTracks(tx, club.id));
    const page = { shell: reply.shell(), slug: club.slug, tracks };
    if (form) return reply.page(NewDevicePage({ ...page, form }), 422);
    return reply.page(NewDevicePage({ ...page, form: freshForm({ bits: '32', track: tracks[0]?.id ?? '' }) }));
  };
  app.get('/c/:club/devices/new', director, async (_request, reply) => showNew(reply, null));
  app.post('/c/:club/devices/new', director, async (request, reply) => {
    const club = clubOf(request);
    const read = readForm(newSensorSchema, request.body);
    if (!read.ok) return showNew(reply, read.form);
    const { name, track, bits } = read.values;
    const added = await addSensor(app.db, club.id, { name, trackId: track, bits });
    if (!added) return showNew(reply, withError(read.form, 'track', fields.choice));
    return showToken(reply, added.key, { name, token: added.token, bits });
  });

  /** The one answer that holds a token: never an address, never twice. */
  const showToken = (
    reply: FastifyReply,
    key: SensorKey,
    { name, token, bits }: { name: string; token: string; bits: number },
  ) =>
    reply.page(
      TokenPage({
        shell: reply.shell(),
        slug: clubOf(reply.request).slug,
        sensor: { ...key, name, bits },
        token,
        crossingsUrl: reply.linkTo('/api/v1/crossings'),
        heartbeatUrl: reply.linkTo('/api/v1/heartbeat'),
      }),
    );

  const find = async (key: SensorKey) => {
    const found = await app.db.readClub(key.clubId, async (tx) => {
      const track = await selectOptionalTrack(tx, key.clubId, key.trackId);
      const sensor = (await selectSensors(tx, key.clubId, key.trackId)).find((one) => one.id === key.id);
      if (!track || !sensor) return null;
      return { sensor: listed(track, sensor), aside: await selectSetAside(tx, key, asideShown) };
    });
    if (!found) throw new Refusal('notFound');
    return found;
  };

  const show = async (reply: FastifyReply, form: FormState | null) => {
    const club = clubOf(reply.request);
    const found = await find(keyOf(reply.request));
    const saved = (reply.request.query as { done?: unknown }).done === 'saved';
    const page = { shell: reply.shell(), slug: club.slug, zone: club.zone, ...found };
    if (form) return reply.page(DevicePage({ ...page, form, saved: false }), 422);
    return reply.page(DevicePage({ ...page, form: freshForm({ name: found.sensor.name }), saved }));
  };
  app.get('/c/:club/devices/:track/:device', director, async (_request, reply) => show(reply, null));
  app.post('/c/:club/devices/:track/:device', director, async (request, reply) => {
    const key = keyOf(request);
    const read = readForm(sensorNameSchema, request.body);
    if (!read.ok) return show(reply, read.form);
    if (!(await renameSensor(app.db, key, read.values.name))) throw new Refusal('notFound');
    return reply.see(`${urls.device(clubOf(request).slug, key.trackId, key.id)}?done=saved`);
  });

  app.post('/c/:club/devices/:track/:device/token', director, async (request, reply) => {
    const key = keyOf(request);
    const { sensor } = await find(key);
    const rotated = await rotateToken(app.db, key);
    if (!rotated) throw new Refusal('notFound');
    return showToken(reply, key, { ...rotated, bits: sensor.bits });
  });

  app.post('/c/:club/devices/:track/:device/revoke', director, async (request, reply) => {
    const key = keyOf(request);
    if (!(await revokeToken(app.db, key))) throw new Refusal('notFound');
    return reply.see(urls.device(clubOf(request).slug, key.trackId, key.id));
  });
};

function listed(track: Track, sensor: Sensor): ListedSensor {
  const { id, name, bits, buffered, aside } = sensor;
  return { id, name, bits, buffered, aside, trackId: track.id, trackName: track.name, state: deviceState(sensor) };
}
