import { afterAll, beforeAll, expect, test } from 'vitest';
import { importLog } from '../../server/archive/actions.ts';
import { setDrawPreset } from '../../server/clubs/actions.ts';
import { drawPresetOf } from '../../server/clubs/draw-preset.ts';
import { selectDrawPreset, selectOptionalClubById } from '../../server/clubs/store.ts';
import { selectDrivers, updateDriver } from '../../server/drivers/store.ts';
import { copyMeeting } from '../../server/meetings/actions.ts';
import {
  deleteRace,
  insertEntries,
  insertRace,
  selectEntries,
  selectRaces,
  setGroups,
} from '../../server/meetings/store.ts';
import { draw } from '../../server/rotation/draw.ts';
import { insertDraw, selectDraws, selectOptionalLastDraw } from '../../server/rotation/draws-store.ts';
import { drawRequest } from '../../server/rotation/rotation.ts';
import { signedIn, startTestApp, type TestApp } from '../helpers/app.ts';
import { plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

/** A meeting with a race `r1` of four, and a race `r2` with the one entry `f1`. */
async function plant(secondRace = 'r2', itsEntry = 'f1') {
  clubs += 1;
  const night = await plantNight(t.db, {
    slug: `draws${clubs}`,
    lanes: 2,
    drivers: ['Ada', 'Bo', 'Cy', 'Di'],
    heats: [],
  });
  const { clubId, meetingId } = night;
  await t.db.withClub(clubId, async (tx) => {
    const [first] = await selectRaces(tx, clubId, meetingId);
    if (!first) throw new Error('no race');
    const { className: _, ...row } = first;
    await insertRace(tx, { ...row, id: secondRace, ordinal: 2 });
    await insertEntries(tx, [{ clubId, meetingId, id: itsEntry, raceId: secondRace, ordinal: 1, driverId: 'd1' }]);
  });
  return { clubId, meetingId, key: (id: string) => ({ clubId, meetingId, id }) };
}

/** What is remembered of a draw of these drivers. */
function drawn(drivers: readonly string[], seed: number) {
  const request = drawRequest({ drivers, lanes: 2, seed });
  const { engine, certificate } = draw(request);
  return { engine, seed, request, certificate };
}

test('draws of a race are numbered, and come back as they went in', async () => {
  const { clubId, key } = await plant();
  const [first, second, other] = [drawn(['e1', 'e2', 'e3'], 7), drawn(['e3', 'e1'], 4294967295), drawn(['f1'], 1)];
  await t.db.withClub(clubId, async (tx) => {
    expect(await selectOptionalLastDraw(tx, key('r1'))).toBeNull();
    expect(await insertDraw(tx, key('r1'), first)).toBe(1);
    expect(await insertDraw(tx, key('r1'), second)).toBe(2);
    expect(await insertDraw(tx, key('r2'), other)).toBe(1);
  });
  await t.db.readClub(clubId, async (tx) => {
    const draws = await selectDraws(tx, key('r1'));
    expect(draws.map(({ createdAt: _, ...draw }) => draw)).toEqual([
      { n: 1, ...first },
      { n: 2, ...second },
    ]);
    expect(await selectOptionalLastDraw(tx, key('r1'))).toEqual(draws[1]);
    // What was remembered can be drawn again.
    expect(draw(draws[0]?.request ?? second.request).certificate).toEqual(first.certificate);
  });
});

test('ids that no sane log holds come back unharmed', async () => {
  const raceId = 'r\ud800"\\\u0000';
  const entryId = "e\udfff\u0000'";
  const { clubId, key } = await plant(raceId, entryId);
  const strange = drawn([entryId, '\ud83d'], 1);
  await t.db.withClub(clubId, (tx) => insertDraw(tx, key(raceId), strange));
  const last = await t.db.readClub(clubId, (tx) => selectOptionalLastDraw(tx, key(raceId)));
  expect(last?.request).toEqual(strange.request);
});

test('a race takes its draws away with it', async () => {
  const { clubId, key } = await plant();
  await t.db.withClub(clubId, async (tx) => {
    await insertDraw(tx, key('r1'), drawn(['e1', 'e2'], 1));
    await insertDraw(tx, key('r2'), drawn(['f1'], 1));
    await deleteRace(tx, key('r1'));
    expect(await selectDraws(tx, key('r1'))).toEqual([]);
    expect(await selectDraws(tx, key('r2'))).toHaveLength(1);
  });
});

test('groups are set entry by entry, within one race, and a copied meeting has none', async () => {
  const { clubId, meetingId } = await plant();
  const groups = async (meeting = meetingId) => {
    const entries = await t.db.readClub(clubId, (tx) => selectEntries(tx, clubId, meeting));
    return Object.fromEntries(entries.map((entry) => [entry.id, entry.groupNo]));
  };
  expect(await groups()).toEqual({ e1: null, e2: null, e3: null, e4: null, f1: null });
  const set = (raceId: string, to: [string, number | null][]) =>
    t.db.withClub(clubId, (tx) => setGroups(tx, clubId, meetingId, raceId, new Map(to)));
  await set('r1', [
    ['e1', 2],
    ['e2', 1],
    ['e3', 2],
    ['f1', 9],
  ]);
  expect(await groups()).toEqual({ e1: 2, e2: 1, e3: 2, e4: null, f1: null });
  await set('r1', [['e1', null]]);
  await set('r1', []);
  expect(await groups()).toEqual({ e1: null, e2: 1, e3: 2, e4: null, f1: null });

  const club = await selectOptionalClubById(t.db, clubId);
  if (!club) throw new Error('no club');
  const copy = { name: 'Again', date: '2026-11-20', trackId: 't1', entries: true };
  const copied = await copyMeeting(t.db, club, meetingId, copy);
  expect(await groups(copied ?? '')).toEqual({ e1: null, e2: null, e3: null, e4: null, f1: null });
});

test('a club weighs opponents first until it chooses otherwise', async () => {
  const [one, other] = [await plant(), await plant()];
  const preset = (clubId: string) => t.db.readClub(clubId, (tx) => selectDrawPreset(tx, clubId));
  expect(await preset(one.clubId)).toBe('opponents');
  await setDrawPreset(t.db, one.clubId, 'rest');
  expect(await preset(one.clubId)).toBe('rest');
  expect(await preset(other.clubId)).toBe('opponents');
  expect(drawPresetOf('a word of a later version')).toBe('opponents');
});

test('a meeting log holds heats only: groups, draws and marshal duty change nothing in it, and none comes in with it', async () => {
  const { clubId, meetingId, key } = await plant();
  const director = await signedIn(t, clubId, 'director');
  const written = async () => (await director.get(`/c/${clubId}/meetings/${meetingId}/log.jsonl`)).rawPayload;
  const before = await written();
  await t.db.withClub(clubId, async (tx) => {
    await setGroups(tx, clubId, meetingId, 'r1', new Map([['e1', 2]]));
    await insertDraw(tx, key('r1'), drawn(['e1', 'e2'], 1));
    await updateDriver(tx, clubId, 'd1', { nickname: 'Ada', nicknameKey: 'ada', public: true, marshals: false });
  });
  const log = await written();
  expect(log.equals(before)).toBe(true);

  const imported = await importLog(t.db, clubId, log, () => ({ colour: '#aa0000', pattern: 'solid' }));
  if (!('meetingId' in imported)) throw new Error('the log was refused');
  await t.db.readClub(clubId, async (tx) => {
    const entries = await selectEntries(tx, clubId, imported.meetingId);
    expect(entries.map(({ id, groupNo }) => [id, groupNo])).toEqual([
      ['e1', null],
      ['e2', null],
      ['e3', null],
      ['e4', null],
      ['f1', null],
    ]);
    expect(await selectDraws(tx, { ...key('r1'), meetingId: imported.meetingId })).toEqual([]);
    // The driver is the club's own, and stays as the club has it.
    const drivers = await selectDrivers(tx, clubId);
    expect(drivers.map(({ nickname, marshals }) => [nickname, marshals])).toContainEqual(['Ada', false]);
    expect(drivers).toHaveLength(4);
  });
});
