import { and, count, eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { car, profile, profileChoice, profileVersion } from '../../db/schema/index.ts';
import { addProfile, mostProfiles } from '../../server/profiles/actions.ts';
import { selectChoices } from '../../server/profiles/choices-store.ts';
import { setupHash } from '../../server/profiles/exchange/setup-hash.ts';
import { selectProfiles, selectVersions } from '../../server/profiles/store.ts';
import { signedIn, startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { plantNight } from '../helpers/planted-night.ts';
import { editorFields, profileWith } from '../helpers/profile-forms.ts';
import { commandIdOn, pressTwice } from '../helpers/twice.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

let clubs = 0;

/** A club of its own for each test, with a driver who is signed in. */
async function club() {
  clubs += 1;
  const slug = `keep${clubs}`;
  const n = await plantNight(t.db, {
    slug,
    lanes: 3,
    drivers: ['Brisk Otter', 'Lucky Fern'],
    heats: [{ lanes: [1, 2] }],
  });
  const driver = await signedIn(t, slug, 'driver', { driverId: 'd1', meetingId: 'm1', label: 'Brisk Otter' });
  const list = `/c/${slug}/drivers/d1/profiles`;
  await driver.get(list);
  return { slug, n, driver, list };
}

type Fields = Record<string, string>;

/** Makes a profile through its form; the answer is the page's address. */
async function made(by: Visitor, list: string, set: Parameters<typeof profileWith>[0] = {}, more: Fields = {}) {
  const answer = await by.post(`${list}/new`, { ...editorFields(profileWith(set)), ...more });
  expect(answer.statusCode, answer.body).toBe(303);
  return String(answer.headers.location).split('?')[0] as string;
}

const idIn = (page: string) => page.split('/').at(-1) as string;
const save = (by: Visitor, page: string, version: number, set: Parameters<typeof profileWith>[0], more: Fields = {}) =>
  by.post(page, { ...editorFields(profileWith(set)), version: String(version), ...more });
const versionsOf = (slug: string, page: string) => t.db.readClub(slug, (tx) => selectVersions(tx, slug, idIn(page)));
const choicesOf = async (slug: string) =>
  (await t.db.readClub(slug, (tx) => selectChoices(tx, slug, 'd1'))).map(({ profileId, version, lane }) => ({
    profileId,
    version,
    lane,
  }));

describe('versions', () => {
  test('every save is one more, with its note, its author and the hash of its setup', async () => {
    const { slug, driver, list } = await club();
    const page = await made(driver, list, { name: 'Attic, evening' }, { carId: 'car1', trackId: 't1' });
    expect((await driver.get(page)).body).toContain('Attic, evening');
    const saved = await save(driver, page, 1, { name: 'Attic, evening', minDrive: 110 }, { note: ' more\r\nbite ' });
    expect(saved.headers.location).toBe(`${page}?saved=2`);
    // The same once more is a version too: somebody wanted it kept.
    expect((await save(driver, page, 2, { name: 'Attic', minDrive: 110 })).statusCode).toBe(303);
    expect(await versionsOf(slug, page)).toMatchObject([
      { version: 3, note: '', setup: { name: 'Attic' } },
      { version: 2, note: 'more bite', author: 'Brisk Otter', setup: { minDrive: 110 }, origin: null },
      { version: 1, note: '', author: 'Brisk Otter', setup: profileWith({ name: 'Attic, evening' }) },
    ]);
    const [third, second, first] = await versionsOf(slug, page);
    expect(third?.hash).toBe(second?.hash);
    expect(first?.hash).toBe(setupHash(profileWith()));
    const shown = (await driver.get(`${page}?saved=3`)).body;
    expect(shown).toContain('Version 3 is saved.');
    expect(shown).toContain('more bite');
    expect((await driver.get(`${page}/versions/1`)).body).toContain('Go back to this version');
    expect((await driver.get(`${page}/versions/4`)).statusCode).toBe(404);
  });

  test('a form of an old page is refused, keeps what was typed, and can then be saved', async () => {
    const { slug, driver, list } = await club();
    const director = await signedIn(t, slug, 'director');
    const page = await made(driver, list);
    await director.get(page);
    expect((await save(director, page, 1, { maxDrive: 700 }, { note: 'for the rain' })).statusCode).toBe(303);
    const late = await save(driver, page, 1, { name: 'Mine', pwmHz: 1444 }, { note: 'smoother' });
    expect(late.statusCode).toBe(409);
    expect(late.body).toContain('Version 2 was saved meanwhile.');
    for (const typed of ['Mine', '1444', 'smoother']) expect(late.body).toContain(typed);
    expect(late.body).toMatch(/name="version" value="2"/);
    expect(await versionsOf(slug, page)).toHaveLength(2);
    expect((await save(driver, page, 2, { name: 'Mine', pwmHz: 1444 })).statusCode).toBe(303);
    expect(await versionsOf(slug, page)).toMatchObject([{ version: 3 }, { version: 2, author: 'director' }, {}]);
  });

  test('a form that is sent twice acts once', async () => {
    const { slug, driver, list } = await club();
    const profiles = () => t.db.readClub(slug, (tx) => selectProfiles(tx, slug, 'd1'));
    const address = await pressTwice(driver, `${list}/new`, `${list}/new`, editorFields(profileWith()));
    const page = address.split('?')[0] as string;
    expect(await profiles()).toMatchObject([{ id: idIn(page) }]);
    const twice = [1, 2].map(() => save(driver, page, 1, { minDrive: 110 }, { note: 'once' }));
    for (const answer of await Promise.all(twice)) expect(answer.headers.location).toBe(`${page}?saved=2`);
    expect(await versionsOf(slug, page)).toHaveLength(2);
    // The same settings with another note are something else.
    expect((await save(driver, page, 1, { minDrive: 110 }, { note: 'mine' })).statusCode).toBe(409);
    const back = await pressTwice(driver, `${page}/versions/1`, `${page}/versions/1/back`, { note: '' });
    expect(back).toBe(`${page}?saved=3`);
    expect(await versionsOf(slug, page)).toHaveLength(3);
    const hall = { name: 'Hall', version: '3', carId: '', trackId: '' };
    await pressTwice(driver, `${page}/copy`, `${page}/copy`, hall);
    expect(await profiles()).toHaveLength(2);
  });

  test('a form that is changed after the way back, or was refused, is carried out', async () => {
    const { slug, driver, list } = await club();
    const command_id = await commandIdOn(driver, `${list}/new`);
    const send = (name: string, more: Fields = {}) =>
      driver.post(`${list}/new`, { ...editorFields(profileWith({ name })), ...more, command_id });
    const names = async () =>
      (await t.db.readClub(slug, (tx) => selectProfiles(tx, slug, 'd1'))).map(({ setup }) => setup.name).sort();
    const gone = { trackId: 'gone' };
    expect((await send('Attic', gone)).statusCode).toBe(422);
    expect((await send('Attic', gone)).statusCode).toBe(422);
    const attic = await send('Attic');
    const hall = await send('Hall');
    expect(hall.headers.location).not.toBe(attic.headers.location);
    expect(await names()).toEqual(['Attic', 'Hall']);
    // Another browser's form is another form, whatever it carries.
    const director = await signedIn(t, slug, 'director');
    await director.get(list);
    const fields = { ...editorFields(profileWith({ name: 'Hall' })), command_id };
    expect((await director.post(`${list}/new`, fields)).headers.location).not.toBe(hall.headers.location);
    expect(await names()).toEqual(['Attic', 'Hall', 'Hall']);
  });

  test('two saves of the same page at once: one is kept, one is told', async () => {
    const { slug, driver, list } = await club();
    const page = await made(driver, list);
    await driver.get(page);
    const answers = await Promise.all([110, 120, 130].map((minDrive) => save(driver, page, 1, { minDrive })));
    expect(answers.map(({ statusCode }) => statusCode).sort()).toEqual([303, 409, 409]);
    expect(await versionsOf(slug, page)).toHaveLength(2);
  });

  test('going back saves the old one as the latest and says where it came from', async () => {
    const { slug, driver, list } = await club();
    const page = await made(driver, list, { name: 'First' });
    await save(driver, page, 1, { name: 'Second', brakeFull: 600 });
    const back = await driver.post(`${page}/versions/1/back`, { note: 'rolled too far' });
    expect(back.headers.location).toBe(`${page}?saved=3`);
    const versions = await versionsOf(slug, page);
    expect(versions[0]).toMatchObject({
      version: 3,
      note: 'rolled too far',
      setup: profileWith({ name: 'First' }),
      origin: { via: 'version', version: 1, hash: versions[2]?.hash },
    });
    expect((await driver.get(page)).body).toContain('Back to version 1');
  });

  test('bad input is told beside its field and changes nothing', async () => {
    const { slug, driver, list } = await club();
    const page = await made(driver, list);
    const bad: Fields[] = [
      { minDrive: '99' },
      { minDrive: '50', maxDrive: '52' },
      { maxDrive: '-1' },
      { pwmHz: 'fast' },
      { rectify: 'sync', decay: 'fast' },
      { name: '' },
      { name: 'a\u202eb' },
      { curveKind: 'points', point1x: '50', point1y: '80', point2x: '60', point2y: '10' },
      { note: 'x'.repeat(281) },
      { version: 'latest' },
    ];
    for (const fields of bad) {
      const answer = await driver.post(page, { ...editorFields(profileWith()), version: '1', ...fields });
      expect(answer.statusCode, JSON.stringify(fields)).toBe(422);
      const fresh = await driver.post(`${list}/new`, { ...editorFields(profileWith()), ...fields });
      if (!('note' in fields || 'version' in fields)) expect(fresh.statusCode, JSON.stringify(fields)).toBe(422);
    }
    for (const place of [{ carId: 'none' }, { trackId: 'none' }, { carId: '../x' }]) {
      const answer = await driver.post(`${list}/new`, { ...editorFields(profileWith()), ...place });
      expect(answer.statusCode).toBe(422);
    }
    expect(await versionsOf(slug, page)).toHaveLength(1);
    const profiles = await t.db.readClub(slug, (tx) => selectProfiles(tx, slug, 'd1', { archived: true }));
    // The two that bore a field of no new form.
    expect(profiles).toHaveLength(3);
  });

  test('a driver keeps 200 profiles and no more, archived ones counted in', async () => {
    const { slug, driver, list } = await club();
    const page = await made(driver, list);
    await t.db.withClub(slug, async (tx) => {
      for (let i = 1; i < mostProfiles; i++) {
        const first = { setup: profileWith(), note: '', author: 'director', origin: null };
        await addProfile(tx, slug, { driverId: 'd1', carId: null, trackId: null, ...first });
      }
    });
    await driver.post(`${page}/archive`);
    const refused = await driver.post(`${list}/new`, editorFields(profileWith({ name: 'One more' })));
    expect(refused.statusCode).toBe(422);
    expect(refused.body).toContain('There are 200 profiles already');
    expect(refused.body).toContain('One more');
    const copy = await driver.post(`${page}/copy`, { name: 'Copy', version: '1', carId: '', trackId: '' });
    expect(copy.statusCode).toBe(422);
    const [row] = await t.db.readClub(slug, (tx) =>
      tx.select({ n: count() }).from(profile).where(eq(profile.clubId, slug)),
    );
    expect(row?.n).toBe(200);
    // Another driver's are counted apart.
    const other = await signedIn(t, slug, 'driver', { driverId: 'd2', meetingId: 'm1' });
    await other.get(`/c/${slug}/drivers/d2/profiles`);
    await made(other, `/c/${slug}/drivers/d2/profiles`);
  });
});

describe('copies and comparisons', () => {
  test('is for a car of one’s own or of the club, never for another driver’s', async () => {
    const { slug, driver, list } = await club();
    await t.db.withClub(slug, (tx) =>
      tx.insert(car).values([
        { clubId: slug, id: 'theirs', name: 'Fern’s', driverId: 'd2' },
        { clubId: slug, id: 'loan', name: 'Loaner' },
      ]),
    );
    const mine = await made(driver, list, {}, { carId: 'loan' });
    const refused = [
      await driver.post(`${list}/new`, { ...editorFields(profileWith()), carId: 'theirs' }),
      await driver.post(`${mine}/copy`, { name: 'Copy', carId: 'theirs', trackId: '', version: '1' }),
    ];
    for (const answer of refused) {
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toContain('That car or track is not there');
    }
    expect(await t.db.readClub(slug, (tx) => selectProfiles(tx, slug, 'd1'))).toHaveLength(1);
  });

  test('a copy is a new profile that names its origin', async () => {
    const { slug, driver, list } = await club();
    const page = await made(driver, list, { name: 'Attic' }, { carId: 'car1' });
    await save(driver, page, 1, { name: 'Attic', rampUpMs: 200 });
    const answer = await driver.post(`${page}/copy`, { name: 'Hall', version: '2', carId: '', trackId: 't1' });
    const copy = String(answer.headers.location).split('?')[0] as string;
    const profiles = await t.db.readClub(slug, (tx) => selectProfiles(tx, slug, 'd1'));
    expect(profiles.find(({ id }) => id === idIn(copy))).toMatchObject({
      carName: null,
      trackName: 'Attic ring',
      latest: 1,
      setup: { name: 'Hall', rampUpMs: 200 },
    });
    expect(await versionsOf(slug, copy)).toMatchObject([{ origin: { via: 'copy', from: 'Attic', version: 2 } }]);
    expect((await driver.get(copy)).body).toContain('Copied from Attic, version 2');
  });

  test('versions and own profiles are compared, another driver’s never', async () => {
    const { slug, driver, list } = await club();
    const page = await made(driver, list, { name: 'Attic' });
    await save(driver, page, 1, { name: 'Attic', minDrive: 110 });
    const versions = await driver.get(`${page}/compare?a=1&b=2`);
    expect(versions.statusCode).toBe(200);
    expect(versions.body).toMatch(/8\s?% to 11\s?%/);
    const hall = await made(driver, list, { name: 'Hall', pwmHz: 500 });
    const across = await driver.get(`${page}/compare?a=2&b=${idIn(hall)}.1`);
    expect(across.body).toContain('Hall, version 1');
    expect(across.body).toContain('500 Hz');
    const other = await signedIn(t, slug, 'driver', { driverId: 'd2', meetingId: 'm1' });
    await other.get(`/c/${slug}/drivers/d2/profiles`);
    const theirs = await made(other, `/c/${slug}/drivers/d2/profiles`, { name: 'Secret' });
    expect((await driver.get(`${page}/compare?a=1&b=${idIn(theirs)}.1`)).statusCode).toBe(404);
    expect((await driver.get(`${page}/compare?a=1&b=9`)).statusCode).toBe(404);
    expect((await driver.get(`${page}/compare`)).statusCode).toBe(200);
  });
});

describe('what is dialled in', () => {
  test('one choice for each car, track and lane; the latest takes the place of the one before', async () => {
    const { slug, driver, list } = await club();
    const a = await made(driver, list, { name: 'A' }, { carId: 'car1' });
    await save(driver, a, 1, { name: 'A', minDrive: 120 });
    const b = await made(driver, list, { name: 'B' }, { carId: 'car1' });
    const anywhere = await made(driver, list, { name: 'Any' });
    const dial = (page: string, version: string, lane = '') => driver.post(`${page}/choices`, { version, lane });
    expect((await dial(a, '1')).statusCode).toBe(303);
    await dial(a, '2', '2');
    await dial(anywhere, '1');
    expect(await choicesOf(slug)).toHaveLength(3);
    await dial(b, '1');
    await dial(b, '1', '3');
    expect(await choicesOf(slug)).toEqual(
      expect.arrayContaining([
        { profileId: idIn(a), version: 2, lane: 2 },
        { profileId: idIn(b), version: 1, lane: null },
        { profileId: idIn(b), version: 1, lane: 3 },
        { profileId: idIn(anywhere), version: 1, lane: null },
      ]),
    );
    expect(await choicesOf(slug)).toHaveLength(4);
    const shown = (await driver.get(list)).body;
    expect(shown).toContain('Version 2 on lane 2');
    expect(shown).toContain('Version 1 on every other lane');
    expect(shown).toContain('Version 1 on every lane');
  });

  test('a choice is taken back; an archived profile is out of use and comes back without one', async () => {
    const { slug, driver, list } = await club();
    const page = await made(driver, list);
    await driver.post(`${page}/choices`, { version: '1', lane: '' });
    await driver.post(`${page}/choices`, { version: '1', lane: '1' });
    const [choice] = await t.db.readClub(slug, (tx) => selectChoices(tx, slug, 'd1'));
    expect((await driver.post(`${page}/choices/${choice?.id}/drop`)).statusCode).toBe(303);
    expect(await choicesOf(slug)).toHaveLength(1);
    await driver.post(`${page}/archive`);
    expect(await choicesOf(slug)).toEqual([]);
    expect((await driver.post(`${page}/choices`, { version: '1', lane: '' })).statusCode).toBe(400);
    await driver.post(`${page}/restore`);
    expect(await choicesOf(slug)).toEqual([]);
    expect((await driver.post(`${page}/choices`, { version: '1', lane: '' })).statusCode).toBe(303);
  });

  test('what cannot be dialled in changes nothing', async () => {
    const { slug, driver, list } = await club();
    const page = await made(driver, list);
    for (const [version, lane] of [
      ['2', ''],
      ['0', ''],
      ['1', '0'],
      ['1', '17'],
      ['1', 'left'],
      ['', ''],
    ] as const) {
      expect((await driver.post(`${page}/choices`, { version, lane })).statusCode, `${version} ${lane}`).toBe(400);
    }
    expect((await driver.post(`${page}/choices/none/drop`)).statusCode).toBe(303);
    expect(await choicesOf(slug)).toEqual([]);
  });
});

describe('who may', () => {
  test('another driver, a timekeeper and a stranger see and change nothing', async () => {
    const { slug, driver, list } = await club();
    const page = await made(driver, list, { name: 'Quiet please' });
    const before = await t.db.readClub(slug, (tx) =>
      tx.select().from(profileVersion).where(eq(profileVersion.clubId, slug)),
    );
    const other = await signedIn(t, slug, 'driver', { driverId: 'd2', meetingId: 'm1' });
    const timekeeper = await signedIn(t, slug, 'timekeeper');
    await other.get(`/c/${slug}`);
    await timekeeper.get(`/c/${slug}`);
    for (const who of [other, timekeeper]) {
      for (const path of ['', '/versions/1', '/compare', '/copy', '/heats']) {
        const answer = await who.get(page + path);
        expect(answer.statusCode, path).toBe(403);
        expect(answer.body).not.toContain('Quiet please');
      }
      for (const path of ['', '/new', '/heats']) expect((await who.get(list + path)).statusCode).toBe(403);
      const fields = { ...editorFields(profileWith()), version: '1', lane: '' };
      for (const path of ['', '/choices', '/archive', '/copy', '/versions/1/back', '/choices/x/drop']) {
        expect((await who.post(page + path, fields)).statusCode, path).toBe(403);
      }
      expect((await who.post(`${list}/new`, fields)).statusCode).toBe(403);
    }
    const after = await t.db.readClub(slug, (tx) =>
      tx.select().from(profileVersion).where(eq(profileVersion.clubId, slug)),
    );
    expect(after).toEqual(before);
    const chosen = await t.db.readClub(slug, (tx) =>
      tx
        .select()
        .from(profileChoice)
        .where(and(eq(profileChoice.clubId, slug))),
    );
    expect(chosen).toEqual([]);
  });

  test('the director keeps everybody’s; each finds the way to the list', async () => {
    const { slug, driver, list } = await club();
    const director = await signedIn(t, slug, 'director');
    await director.get(list);
    const page = await made(director, list, { name: 'From race control' });
    expect((await driver.get(page)).body).toContain('From race control');
    expect((await driver.get(`/c/${slug}/profiles`)).headers.location).toBe(list);
    expect((await director.get(`/c/${slug}/profiles`)).headers.location).toBe(`/c/${slug}/drivers`);
    expect((await driver.get(`/c/${slug}/profiles/none`)).statusCode).toBe(404);
  });
});
