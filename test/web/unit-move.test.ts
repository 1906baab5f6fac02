import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { addProfile } from '../../server/profiles/actions.ts';
import type { UnitSheet } from '../../server/profiles/convert/sheet.ts';
import { unlimitedSheet } from '../../server/profiles/convert/sheet-schema.ts';
import { setupHash } from '../../server/profiles/exchange/setup-hash.ts';
import { selectOptionalProfile, selectProfiles, selectVersions } from '../../server/profiles/store.ts';
import { putUnit, saveSheet } from '../../server/units/actions.ts';
import { signedIn, startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { plantNight } from '../helpers/planted-night.ts';
import { profileWith } from '../helpers/profile-forms.ts';
import { pressTwice } from '../helpers/twice.ts';

let t: TestApp;
let driver: Visitor;
let other: Visitor;
beforeAll(async () => {
  t = await startTestApp();
  await plantNight(t.db, { lanes: 2, drivers: ['Brisk Otter', 'Lucky Fern'], heats: [{ lanes: [1, 2] }] });
  driver = await signedIn(t, 'owls', 'driver', { driverId: 'd1', meetingId: 'm1', label: 'Brisk Otter' });
  other = await signedIn(t, 'owls', 'driver', { driverId: 'd2', meetingId: 'm1', label: 'Lucky Fern' });
});
afterAll(() => t.close());

const setup = profileWith({ name: 'Attic', minDrive: 83, maxDrive: 600 });

async function profile(): Promise<string> {
  const fresh = {
    driverId: 'd1',
    carId: null,
    trackId: null,
    setup,
    note: '',
    author: 'Brisk Otter',
    origin: null,
  };
  const made = await t.db.withClub('owls', (tx) => addProfile(tx, 'owls', fresh));
  return 'id' in made ? made.id : '';
}

async function unit(sheet: Partial<UnitSheet> | null, driverId: string | null = null): Promise<string> {
  const id =
    (await t.db.withClub('owls', (tx) =>
      putUnit(tx, 'owls', { name: 'Red grip', driverId, trackId: null, lane: null }),
    )) ?? '';
  if (sheet) await saveSheet(t.db, { clubId: 'owls', id }, { ...unlimitedSheet, ...sheet });
  return id;
}

const tens = { minDrive: { min: 0, max: 400, step: 10 } };
const address = (id: string, unitId = '') => `/c/owls/profiles/${id}/move${unitId && `?unit=${unitId}`}`;
const shownIn = (page: string) => /name="shown" value="([^"]*)"/.exec(page)?.[1] ?? '';
const versions = (id: string) => t.db.readClub('owls', (tx) => selectVersions(tx, 'owls', id));

/** Looks at the page, then keeps what it showed. */
async function keep(id: string, unitId: string, fields: Record<string, string>) {
  const page = await driver.get(address(id, unitId));
  return driver.post(address(id), { unit: unitId, shown: shownIn(page.body), keep: 'version', ...fields });
}

describe('moving a profile to a unit', () => {
  test('shows what becomes of every setting and writes nothing', async () => {
    const id = await profile();
    const unitId = await unit(tens);
    const choose = await driver.get(address(id));
    expect(choose.body).toContain('Red grip, the club’s');
    const page = await driver.get(address(id, unitId));
    expect(page.statusCode).toBe(200);
    expect(page.body).toMatch(/Minimum drive.*8\.3 %.*8 %/s);
    expect(page.body).toContain('12 settings stay as they are');
    expect(page.body).not.toContain('name="confirmed"');
    expect(await versions(id)).toHaveLength(1);
  });

  test('is kept as a version with where it came from', async () => {
    const id = await profile();
    const answer = await keep(id, await unit(tens), {});
    expect(answer.statusCode).toBe(303);
    expect(answer.headers.location).toBe(`/c/owls/profiles/${id}?saved=2`);
    const [latest] = await versions(id);
    expect(latest).toMatchObject({
      version: 2,
      setup: { ...setup, minDrive: 80 },
      author: 'Brisk Otter',
      origin: { via: 'unit', from: 'Red grip', version: 1, hash: setupHash(setup) },
    });
  });

  test('or as a new profile, which needs a name', async () => {
    const id = await profile();
    const unitId = await unit(tens);
    expect((await driver.get(address(id, unitId))).body).toContain('value="Attic, Red grip"');
    const nameless = await keep(id, unitId, { keep: 'new', name: ' ' });
    expect(nameless.statusCode).toBe(422);
    const made = await keep(id, unitId, { keep: 'new', name: 'Attic on red' });
    const fresh = /profiles\/([^?]+)\?saved=1/.exec(String(made.headers.location))?.[1] ?? '';
    expect(await t.db.readClub('owls', (tx) => selectOptionalProfile(tx, 'owls', fresh))).toMatchObject({
      driverId: 'd1',
      setup: { ...setup, name: 'Attic on red', minDrive: 80 },
    });
    expect(await versions(id)).toHaveLength(1);
  });

  test('a double press keeps it once, either way', async () => {
    const id = await profile();
    const unitId = await unit(tens);
    const page = address(id, unitId);
    const fields = { unit: unitId, shown: shownIn((await driver.get(page)).body) };
    const made = await pressTwice(driver, page, address(id), { ...fields, keep: 'new', name: 'Twice on red' });
    expect(made).toMatch(/\?saved=1$/);
    const named = (await t.db.readClub('owls', (tx) => selectProfiles(tx, 'owls', 'd1'))).filter(
      ({ setup }) => setup.name === 'Twice on red',
    );
    expect(named).toHaveLength(1);
    const saved = await pressTwice(driver, page, address(id), { ...fields, keep: 'version' });
    expect(saved).toBe(`/c/owls/profiles/${id}?saved=2`);
    expect(await versions(id)).toHaveLength(2);
  });

  test('a unit that cannot limit asks first', async () => {
    const id = await profile();
    const unitId = await unit({ maxDrive: null });
    const page = await driver.get(address(id, unitId));
    expect(page.body).toContain('notice-danger');
    expect(page.body).toContain('name="confirmed"');
    const unconfirmed = await keep(id, unitId, {});
    expect(unconfirmed.statusCode).toBe(422);
    expect(await versions(id)).toHaveLength(1);
    expect((await keep(id, unitId, { confirmed: 'on' })).statusCode).toBe(303);
    expect((await versions(id))[0]?.setup.maxDrive).toBe(1000);
  });

  test('keeps only what was shown', async () => {
    const id = await profile();
    const unitId = await unit(tens);
    const page = await driver.get(address(id, unitId));
    await saveSheet(
      t.db,
      { clubId: 'owls', id: unitId },
      { ...unlimitedSheet, maxDrive: { min: 100, max: 500, step: 1 } },
    );
    const answer = await driver.post(address(id), { unit: unitId, shown: shownIn(page.body), keep: 'version' });
    expect(answer.statusCode).toBe(409);
    expect(answer.body).toMatch(/Maximum drive.*60 %.*50 %/s);
    expect(await versions(id)).toHaveLength(1);
  });

  test('a profile that fits has nothing to keep', async () => {
    const page = await driver.get(address(await profile(), await unit({})));
    expect(page.body).toContain('Every setting stays as it is');
    expect(page.body).not.toContain('name="shown"');
  });

  test('a unit without limits says so', async () => {
    const page = await driver.get(address(await profile(), await unit(null)));
    expect(page.body).toContain('is not typed in yet');
    expect(page.body).not.toContain('name="shown"');
  });

  test('is nobody else’s, and nobody else’s unit is offered', async () => {
    const id = await profile();
    expect((await other.get(address(id))).statusCode).toBe(403);
    const theirs = await unit(tens, 'd2');
    expect((await driver.get(address(id, theirs))).statusCode).toBe(404);
    expect((await driver.get(address(id))).body).not.toContain(theirs);
  });
});
