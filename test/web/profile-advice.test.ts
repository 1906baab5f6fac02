import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { meeting, race } from '../../db/schema/index.ts';
import { saveVersion } from '../../server/profiles/actions.ts';
import { type AdviceRow, rows } from '../../server/profiles/advice/rows.ts';
import { presets } from '../../server/profiles/motor/motor.ts';
import { upsertCarMotor } from '../../server/profiles/motor-store.ts';
import { selectVersions } from '../../server/profiles/store.ts';
import { advice } from '../../views/texts/en/advice.ts';
import { signedIn, startTestApp, type TestApp } from '../helpers/app.ts';
import { plantNight } from '../helpers/planted-night.ts';
import { editorFields, profileWith } from '../helpers/profile-forms.ts';
import { pressTwice } from '../helpers/twice.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

let clubs = 0;

/** A driver with one profile, and the address of its advice. */
async function club(set: Parameters<typeof profileWith>[0] = {}, more: Record<string, string> = {}) {
  clubs += 1;
  const slug = `advice${clubs}`;
  await plantNight(t.db, { slug, lanes: 2, drivers: ['Brisk Otter', 'Lucky Fern'], heats: [{ lanes: [1, 2] }] });
  const driver = await signedIn(t, slug, 'driver', { driverId: 'd1', meetingId: 'm1', label: 'Brisk Otter' });
  const list = `/c/${slug}/drivers/d1/profiles`;
  await driver.get(list);
  const made = await driver.post(`${list}/new`, { ...editorFields(profileWith(set)), ...more });
  const profile = String(made.headers.location).split('?')[0] as string;
  const versions = () => t.db.readClub(slug, (tx) => selectVersions(tx, slug, profile.split('/').at(-1) as string));
  return { slug, driver, profile, page: `${profile}/advice`, versions };
}

describe('what is wrong?', () => {
  test('offers every complaint, and says that it is practice without a source', async () => {
    const { driver, page, profile, versions } = await club();
    const { statusCode, body } = await driver.get(page);
    expect(statusCode).toBe(200);
    for (const row of Object.keys(rows) as AdviceRow[]) expect(body).toContain(advice.rows[row].says);
    expect(body.match(/type="radio"/g)).toHaveLength(Object.keys(rows).length);
    expect(body).toContain('no source');
    expect(body).not.toContain(advice.save);
    expect((await driver.get(profile)).body).toContain(`${page}"`);
    expect(await versions()).toHaveLength(1);
  });

  test('proposes one change, shows what it does, and saves it only when told to', async () => {
    const { driver, page, profile, versions } = await club();
    const { body } = await driver.get(`${page}?row=spinsOut`);
    expect(body).toMatch(/Ramp time<\/th>.*?off.*?40 ms/s);
    expect(body).toContain('Full power comes later: 0.04\u00a0s instead of at once.');
    expect(body).toContain('10 clean laps as it was (A)');
    expect(body.match(/<svg[^>]*role="img"|<figure/g)?.length).toBeGreaterThanOrEqual(2);
    expect(body).toContain('?row=spinsOut&amp;change=curve#answer');
    expect(body).toContain('>Ramp time: off to 40 ms. It spins or slides leaving corners.</textarea>');
    expect(body).not.toContain(advice.hot);
    expect(await versions()).toHaveLength(1);

    const note = 'hairpin, lane 2';
    const saved = await driver.post(page, { row: 'spinsOut', change: 'rampUpMs', version: '1', note });
    expect([saved.statusCode, saved.headers.location]).toEqual([303, `${profile}?saved=2`]);
    expect(await versions()).toMatchObject([
      { version: 2, note, author: 'Brisk Otter', setup: profileWith({ rampUpMs: 40 }), origin: null },
      { version: 1, setup: profileWith() },
    ]);
  });

  test('shows another change of the same row on demand', async () => {
    const { driver, page, versions } = await club();
    const { body } = await driver.get(`${page}?row=spinsOut&change=minDrive`);
    expect(body).toContain('Leaves rest slightly softer: 8\u00a0% to 6\u00a0%.');
    await driver.post(page, { row: 'spinsOut', change: 'minDrive', version: '1', note: '' });
    expect((await versions())[0]?.setup).toEqual(profileWith({ minDrive: 60 }));
  });

  test('warns of heat', async () => {
    const { driver, page } = await club({ brakeFull: 500 });
    for (const row of ['hotMotor', 'brakesLate', 'hotController']) {
      expect((await driver.get(`${page}?row=${row}`)).body, row).toContain(advice.hot);
    }
  });

  test('says that more brake only locks the wheels, of a car whose motor was measured', async () => {
    const { slug, driver, page, profile } = await club({ brakeFull: 600 }, { carId: 'car1' });
    const sentence = 'Brakes more at full release: 60\u00a0% to 70\u00a0%';
    expect((await driver.get(`${page}?row=brakesLate`)).body).toContain(`${sentence}.`);
    await t.db.withClub(slug, (tx) => upsertCarMotor(tx, slug, 'car1', presets.club));
    expect((await driver.get(`${page}?row=brakesLate`)).body).toContain(
      `${sentence}; on this car both lock the wheels.`,
    );
    await driver.post(page, { row: 'brakesLate', change: 'brakeFull', version: '1', note: '' });
    expect((await driver.get(`${profile}/compare?a=1&b=2`)).body).toContain('on this car both lock the wheels');
    // Of a motor from memory nothing is said of "this car".
    expect((await driver.get(`${profile}/compare?a=1&b=2&motor=club`)).body).not.toContain('on this car');
  });

  test('says where to look if the controller is not it, or has nothing left', async () => {
    const { driver, page } = await club();
    const joint = (await driver.get(`${page}?row=onePlace`)).body;
    expect(joint).toContain('do not tune the car to one joint');
    expect(joint).not.toContain(advice.save);
    const straight = (await driver.get(`${page}?row=lazyStraight`)).body;
    expect(straight).toContain(advice.noneText);
    expect((await driver.get(`${page}?row=nonsense`)).body).not.toContain('id="answer"');
  });

  test('every row has its page', async () => {
    const { driver, page } = await club({
      brakeFull: 700,
      drag: { strength: 300, zoneFrom: 0, zoneTo: 400, closingOnly: false },
    });
    for (const row of Object.keys(rows)) {
      const { statusCode, body } = await driver.get(`${page}?row=${row}`);
      expect([row, statusCode]).toEqual([row, 200]);
      expect(body).toContain('id="answer"');
    }
  });

  test('never goes above the race limit', async () => {
    const { slug, driver, page, versions } = await club({ maxDrive: 680 });
    await t.db.withClub(slug, async (tx) => {
      // A race that is still to come.
      await tx.update(meeting).set({ date: '2099-01-01' }).where(eq(meeting.clubId, slug));
      await tx.update(race).set({ driveLimit: 700 }).where(eq(race.clubId, slug));
    });
    expect((await driver.get(`${page}?row=lazyStraight`)).body).toMatch(/Maximum drive<\/th>.*?68 %.*?70 %/s);
    await driver.post(page, { row: 'lazyStraight', change: 'maxDrive', version: '1', note: '' });
    expect((await versions())[0]?.setup.maxDrive).toBe(700);
    const { body } = await driver.get(`${page}?row=lazyStraight`);
    expect(body).toContain(advice.noneText);
  });

  test('a double press saves one version', async () => {
    const { driver, page, profile, versions } = await club();
    const tried = { row: 'spinsOut', change: 'rampUpMs', version: '1', note: '' };
    expect(await pressTwice(driver, `${page}?row=spinsOut`, page, tried)).toBe(`${profile}?saved=2`);
    expect(await versions()).toHaveLength(2);
  });

  test('a page that is old, wrong or somebody else’s changes nothing', async () => {
    const { slug, driver, page, profile, versions } = await club();
    const tried = { row: 'spinsOut', change: 'rampUpMs', version: '1', note: 'mine' };
    for (const bad of [{ row: 'nonsense' }, { change: 'maxDrive' }, { version: 'x' }, { note: 'x'.repeat(281) }]) {
      const answer = await driver.post(page, { ...tried, ...bad });
      expect(answer.statusCode, JSON.stringify(bad)).toBe(422);
    }
    const other = await signedIn(t, slug, 'driver', { driverId: 'd2', meetingId: 'm1' });
    await other.get(`/c/${slug}`);
    expect((await other.get(page)).statusCode).toBe(403);
    expect((await other.post(page, tried)).statusCode).toBe(403);
    expect(await versions()).toHaveLength(1);

    const id = profile.split('/').at(-1) as string;
    const fresh = { setup: profileWith({ rampUpMs: 200 }), note: '', author: 'director', origin: null };
    await saveVersion(t.db, slug, id, fresh);
    const late = await driver.post(page, tried);
    expect(late.statusCode).toBe(409);
    expect(late.body).toContain('Version 2 was saved meanwhile.');
    expect(late.body).toMatch(/200 ms.*?240 ms/s);
    expect(late.body).toContain('mine');
    expect(await versions()).toHaveLength(2);
    expect((await driver.post(page, { ...tried, version: '2' })).statusCode).toBe(303);
    expect((await versions())[0]?.setup.rampUpMs).toBe(240);
  });
});
