import type { FastifyPluginAsync } from 'fastify';
import type { ClubTx } from '../../db/client.ts';
import { nightLabel, PaceOfDriverPage } from '../../views/pace-driver.tsx';
import { type SettingPartProps, settingField, settingFields } from '../../views/pace-setting.tsx';
import type { WhyPartProps } from '../../views/pace-why.tsx';
import { drivers as driverWords } from '../../views/texts/en/drivers.ts';
import { meetings } from '../../views/texts/en/meetings.ts';
import { paceSetting } from '../../views/texts/en/pace-setting.ts';
import { rotation } from '../../views/texts/en/rotation.ts';
import { urls } from '../../views/urls.ts';
import { selectClasses } from '../drivers/cars-store.ts';
import { type Driver, selectDriverNumbers, selectDrivers, selectOptionalDriver } from '../drivers/store.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { selectTracks } from '../tracks/store.ts';
import { driverStory } from './driver-story.ts';
import type { PaceFit } from './pace-fit.ts';
import { selectOptionalLatestFit } from './pace-store.ts';
import {
  type NamedNight,
  type NotedVersion,
  selectHeatNames,
  selectLapsOfNight,
  selectNamedNights,
  selectNightsOfDriver,
  selectNotedVersions,
  selectToldToDriver,
  selectUsualHeatLaps,
} from './pages-store.ts';
import type { Setting } from './setting-effect.ts';
import { nightsToCompare, settingAcrossNights } from './setting-nights.ts';
import { settingNight } from './setting-story.ts';
import { settingsByVersion } from './setting-versions.ts';
import { whyStory } from './why-story.ts';

type Query = Readonly<Record<string, unknown>>;

/** A driver's pace, for everybody who may see the driver. */
export const paceDriverRoutes: FastifyPluginAsync = async (app) => {
  app.get('/c/:club/drivers/:driver/pace', { config: { access: 'everyone' } }, async (request, reply) => {
    const club = clubOf(request);
    const id = idOf(request, 'driver');
    const shell = reply.shell();
    const found = await app.db.readClub(club.id, async (tx) => {
      const driver = await selectOptionalDriver(tx, club.id, id);
      if (!driver) return null;
      // Whoever is not signed in may be anybody on the internet.
      const nameOf = await namer(tx, club.id, request.visitor !== null);
      const name = nameOf(id);
      const fit = (await selectOptionalLatestFit(tx, club.id))?.fit ?? null;
      const classNames = new Map(
        (await selectClasses(tx, club.id, { archived: true })).map((one) => [one.id, one.name]),
      );
      const story = fit && driverStory(fit, id);
      const nights = await selectNamedNights(tx, club.id);
      const about = {
        clubId: club.id,
        slug: club.slug,
        driver,
        lang: shell.lang,
        nights,
        query: request.query as Query,
        isOwn: request.visitor?.role === 'director' || request.visitor?.driverId === id,
      };
      return {
        ...{ name, fitted: fit !== null, story, classNames, nights },
        trackName: story?.track == null ? null : await trackName(tx, club.id, story.track),
        heatLaps: await selectUsualHeatLaps(tx, club.id, id),
        why: await whyPart(tx, about, fit, nameOf),
        setting: fit && story && (await settingPart(tx, about, fit, classNames)),
      };
    });
    if (!found) throw new Refusal('notFound');
    return reply.page(PaceOfDriverPage({ shell, slug: club.slug, driverId: id, ...found }));
  });
};

/** Names as this visitor may read them. */
async function namer(tx: ClubTx, clubId: string, inClub: boolean): Promise<(driverId: string) => string> {
  const drivers = new Map((await selectDrivers(tx, clubId, { archived: true })).map((one) => [one.id, one]));
  const numbers = inClub ? new Map<string, number>() : await selectDriverNumbers(tx, clubId);
  return (driverId) => {
    const driver = drivers.get(driverId);
    return driver && (inClub || driver.public) ? driver.nickname : driverWords.hiddenName(numbers.get(driverId) ?? 0);
  };
}

/** A track that an import brought has no row: it is known by its name. */
async function trackName(tx: ClubTx, clubId: string, track: string): Promise<string> {
  return (await selectTracks(tx, clubId, { imported: true })).find(({ id }) => id === track)?.name ?? track;
}

interface About {
  readonly clubId: string;
  readonly slug: string;
  readonly driver: Driver;
  readonly lang: string;
  readonly nights: readonly NamedNight[];
  readonly query: Query;
  /** Whether the visitor may know what is in the driver's profiles. */
  readonly isOwn: boolean;
}

async function whyPart(
  tx: ClubTx,
  { clubId, driver }: About,
  fit: PaceFit | null,
  nameOf: (driverId: string) => string,
): Promise<WhyPartProps | null> {
  const told = await selectToldToDriver(tx, clubId, driver.id);
  if (told === null) return null;
  const { meeting, race, heat } = told;
  const groups = new Map(fit?.drivers.map((one) => [one.driver, one.group]));
  const lanes = told.lanes.map((one) => ({ ...one, group: groups.get(one.driverId) ?? null }));
  const story = whyStory({ ...told, track: meeting.trackId, carClass: race.classId, lanes }, fit);
  const other = lanes.find(({ lane }) => lane === story?.other?.lane);
  return {
    name: nameOf(driver.id),
    meetingName: meeting.name,
    heatName: meetings.tonight.heatOf(heat.ordinal, race.name),
    story,
    otherName: other ? nameOf(other.driverId) : '',
    race: { durationMs: race.durationMs, laps: race.laps, dial: race.handicap?.dial ?? 100 },
    inLaps: race.format !== 'laps',
  };
}

async function settingPart(
  tx: ClubTx,
  { clubId, slug, driver, lang, nights, query, isOwn }: About,
  fit: PaceFit,
  classNames: ReadonlyMap<string, string>,
): Promise<SettingPartProps> {
  const own = (await selectNightsOfDriver(tx, clubId, driver.id, nights)).reverse();
  const chosen = own.find((night) => String(night) === query.night) ?? own[0] ?? null;
  const named = nights.find(({ night }) => night === chosen);
  const classes = (fit.drivers.find((one) => one.driver === driver.id)?.classes ?? [])
    .filter(({ heats }) => heats > 0)
    .sort((a, b) => b.heats - a.heats)
    .map(({ carClass }) => ({ id: carClass, name: classNames.get(carClass) ?? carClass }));
  const laps = named ? await selectLapsOfNight(tx, clubId, named) : [];
  const noted =
    isOwn && named?.meetingId != null
      ? await selectNotedVersions(tx, clubId, named.meetingId, driver.id)
      : new Map<string, NotedVersion>();
  // What was said in the form counts; before, what the heats themselves noted.
  const isSaid = Object.keys(query).some((name) => name.startsWith(settingFields));
  const suggested = isSaid ? new Map<string, Setting>() : settingsByVersion(noted);
  const settingOf = (heat: string) => {
    const value = query[settingField(heat)];
    return value === 'a' || value === 'b' ? value : (suggested.get(heat) ?? null);
  };
  const { heats, compared } = settingNight(fit, laps, driver.id, settingOf);
  const comparable = [...new Set(nightsToCompare(fit, driver.id).map(({ night }) => night))].sort((a, b) => b - a);
  const since = comparable.find((night) => String(night) === query.since);
  const carClass = classes.find(({ id }) => id === query.class) ?? classes[0];
  const across = since !== undefined && carClass ? { night: since, carClass: carClass.id } : null;
  const names = named?.meetingId == null ? null : await selectHeatNames(tx, clubId, named.meetingId);
  const races = new Set([...(names?.values() ?? [])].map(({ race }) => race));
  const labelled = (night: number) => ({ night, label: nightLabel(nights, night, lang) });
  return {
    action: urls.driver(slug, driver.id, 'pace'),
    nights: own.map(labelled),
    sinceNights: comparable.map(labelled),
    night: chosen,
    heats,
    versionOf: (heat) => {
      const version = noted.get(heat);
      return version ? paceSetting.version(version.name, version.version) : null;
    },
    heatName: (heat) => {
      const name = names?.get(heat);
      if (!name) return paceSetting.heatName(heat);
      return races.size > 1 ? meetings.tonight.heatOf(name.ordinal, name.race) : rotation.heatName(name.ordinal);
    },
    classes,
    since: across,
    result: across
      ? {
          kind: 'across',
          effect: settingAcrossNights(fit, driver.id, across.carClass, across.night),
          crashes: null,
        }
      : compared && { kind: 'night', ...compared },
  };
}
