import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { entry, meeting } from '../../db/schema/index.ts';
import { addProfile, chooseVersion } from '../../server/profiles/actions.ts';
import { unlimitedSheet } from '../../server/profiles/convert/sheet-schema.ts';
import { setupHash } from '../../server/profiles/exchange/setup-hash.ts';
import { defaultTuning, type Profile } from '../../server/profiles/model/profile.ts';
import { bumpPlan } from '../../server/tracks/store.ts';
import { putUnit, renewToken } from '../../server/units/actions.ts';
import type { UnitHolder } from '../../server/units/store.ts';
import { startTestApp, type TestApp } from '../helpers/app.ts';
import { SimulatedController } from '../helpers/controller.ts';
import { type NightPlan, type PlantedNight, plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const s = 1_000_000;
/** The day that the test's clock shows. */
const today = '2027-01-15';
let night: PlantedNight;
let clubs = 0;

async function plant(race: NonNullable<NightPlan['race']> = {}, date = today) {
  clubs += 1;
  night = await plantNight(t.db, {
    slug: `units${clubs}`,
    lanes: 2,
    drivers: ['Otter', 'Heron', 'Marten'],
    heats: [{ lanes: [1, 2] }, { lanes: [3, 1] }, { lanes: [2, 3] }],
    race: { durationMs: 60_000, ...race },
  });
  await t.db.withClub(night.clubId, async (tx) => {
    await tx.update(meeting).set({ date }).where(eq(meeting.clubId, night.clubId));
    await bumpPlan(tx, night.clubId, night.trackId);
  });
}
beforeEach(() => plant());

const setup = (name: string, more: Partial<Profile> = {}): Profile => ({ ...defaultTuning, name, ...more });

/** A profile that a driver has dialled in. */
async function dialIn(driverId: string, profile: Profile, lane: number | null = null): Promise<void> {
  const first = { setup: profile, note: '', author: 'director', origin: null };
  const fresh = { driverId, carId: null, trackId: null, ...first };
  const made = await t.db.withClub(night.clubId, (tx) => addProfile(tx, night.clubId, fresh));
  if (!('id' in made)) throw new Error(made.refused);
  await chooseVersion(t.db, night.clubId, made.id, { version: 1, lane });
}

async function controllerOf(holder: Partial<UnitHolder>): Promise<SimulatedController> {
  const none = { driverId: null, trackId: null, lane: null };
  const id =
    (await t.db.withClub(night.clubId, (tx) => putUnit(tx, night.clubId, { name: 'Grip', ...none, ...holder }))) ?? '';
  return new SimulatedController(t.app, (await renewToken(t.db, { clubId: night.clubId, id })) ?? '');
}
const onLane = (lane: number) => controllerOf({ trackId: 't1', lane });

describe('a unit that stays on a lane', () => {
  test('is set for whoever drives there next, heat after heat', async () => {
    await dialIn('d1', setup('Otter at home'));
    await dialIn('d3', setup('Marten', { minDrive: 120 }));
    const controller = await onLane(1);
    expect((await controller.profile()).json()).toEqual({
      profile: setup('Otter at home'),
      hash: `sha256:${setupHash(defaultTuning)}`,
      table: null,
      driver: 'Otter',
      race: 'Open',
      heat: 'h1',
      heat_number: 1,
      lane: 1,
      limited_by_race: false,
      changes: [],
    });
    const start = t.clock.nowUs();
    await night.press('h1', 'arm', start);
    expect((await controller.profile()).statusCode).toBe(304);
    await night.press('h1', 'start', start);
    expect((await controller.profile()).statusCode).toBe(304);
    t.clock.advance(61 * s);
    // The heat is over: the next driver may be set.
    expect((await controller.profile()).json()).toMatchObject({ driver: 'Marten', heat: 'h2' });
    expect((await controller.profile()).statusCode).toBe(304);
  });

  test('serves the armed heat before those that the programme has first', async () => {
    await dialIn('d1', setup('Otter'));
    await dialIn('d3', setup('Marten'));
    await night.press('h2', 'arm', t.clock.nowUs());
    expect((await (await onLane(1)).profile()).json()).toMatchObject({ driver: 'Marten', heat: 'h2' });
  });

  test('passes over heats in which nobody drives there', async () => {
    await dialIn('d2', setup('Heron'));
    const lane2 = await onLane(2);
    expect((await lane2.profile()).json()).toMatchObject({ driver: 'Heron', heat: 'h1', lane: 2 });
    expect((await (await controllerOf({ trackId: 't1', lane: 1 })).profile()).statusCode).toBe(404);
  });

  test('knows what is dialled in for this lane alone', async () => {
    await dialIn('d1', setup('Everywhere'));
    await dialIn('d1', setup('Lane 2'), 2);
    expect((await (await onLane(1)).profile()).json()).toMatchObject({ profile: { name: 'Everywhere' } });
    const start = t.clock.nowUs();
    await night.press('h1', 'arm', start);
    await night.press('h1', 'start', start);
    t.clock.advance(61 * s);
    expect((await (await onLane(2)).profile()).json()).toMatchObject({ profile: { name: 'Lane 2' }, heat: 'h2' });
  });
});

describe('a driver’s own unit', () => {
  test('follows its driver over the lanes', async () => {
    await dialIn('d2', setup('Heron'));
    const controller = await controllerOf({ driverId: 'd2' });
    expect((await controller.profile()).json()).toMatchObject({ heat: 'h1', lane: 2 });
    const start = t.clock.nowUs();
    await night.press('h1', 'arm', start);
    await night.press('h1', 'start', start);
    t.clock.advance(61 * s);
    expect((await controller.profile()).json()).toMatchObject({ heat: 'h3', heat_number: 3, lane: 1 });
  });

  test('of somebody who does not drive tonight has nothing to wait for', async () => {
    await t.db.withClub(night.clubId, async (tx) => {
      await tx.update(entry).set({ driverId: 'd1' }).where(eq(entry.clubId, night.clubId));
      await bumpPlan(tx, night.clubId, night.trackId);
    });
    const answer = await (await controllerOf({ driverId: 'd2' })).profile();
    expect(answer.statusCode).toBe(404);
    expect(answer.json().sentence).toBe('No heat is planned for this controller today.');
  });
});

describe('nothing to give', () => {
  test('says why in a sentence', async () => {
    const controller = await onLane(1);
    const nothing = await controller.profile();
    expect(nothing.statusCode).toBe(404);
    expect(nothing.json().sentence).toBe('Otter has dialled in nothing for the next heat.');
    const nobody = await (await controllerOf({})).profile();
    expect(nobody.json().sentence).toMatch(/belongs to nobody/);
    await plant({}, '2027-01-16');
    expect((await (await onLane(1)).profile()).json().sentence).toBe('No heat is planned for this controller today.');
  });
});

describe('limits', () => {
  test('the race’s limit is above every profile', async () => {
    await plant({ driveLimit: 600 });
    await dialIn('d1', setup('Full', { minDrive: 580 }));
    await dialIn('d2', setup('Mild', { maxDrive: 500 }));
    expect((await (await onLane(1)).profile()).json()).toMatchObject({
      profile: { maxDrive: 600, minDrive: 550 },
      hash: `sha256:${setupHash({ ...defaultTuning, minDrive: 550, maxDrive: 600 })}`,
      limited_by_race: true,
    });
    expect((await (await onLane(2)).profile()).json()).toMatchObject({
      profile: { maxDrive: 500 },
      limited_by_race: false,
    });
  });

  test('the unit’s own steps and limits are kept, and what changed is said', async () => {
    await plant({ driveLimit: 640 });
    await dialIn('d1', setup('Full', { pwmHz: 1450, rampUpMs: 100 }));
    const controller = await onLane(1);
    await controller.tellSheet({
      ...unlimitedSheet,
      maxDrive: { min: 200, max: 1000, step: 50 },
      pwmHz: { list: [1000, 2000] },
      rampUpMs: null,
    });
    const answer = (await controller.profile()).json();
    expect(answer).toMatchObject({ profile: { maxDrive: 600, pwmHz: 2000, rampUpMs: 0 }, limited_by_race: true });
    expect(answer.changes.map(({ field }: { field: string }) => field)).toEqual(['maxDrive', 'rampUpMs', 'pwmHz']);
    expect(answer.hash).toBe(`sha256:${setupHash(answer.profile)}`);
  });

  test('a unit that cannot hold drive back is not given a profile that asks for it', async () => {
    await dialIn('d1', setup('Full'));
    const controller = await onLane(1);
    await controller.tellSheet({ ...unlimitedSheet, maxDrive: null });
    expect((await controller.profile()).statusCode).toBe(200);
    await plant({ driveLimit: 600 });
    await dialIn('d1', setup('Full'));
    const limited = await onLane(1);
    await limited.tellSheet({ ...unlimitedSheet, maxDrive: null });
    const answer = await limited.profile();
    expect(answer.statusCode).toBe(409);
    expect(answer.json()).toMatchObject({ error: 'needsConfirmation' });
    expect(answer.json().sentence).toMatch(/cannot hold back drive/);
    expect(answer.body).not.toContain('minDrive');
  });

  test('a calibration never travels with a profile', async () => {
    await dialIn('d1', setup('Full'));
    const body = (await (await onLane(1)).profile()).body;
    expect(body).not.toMatch(/released|pressed|calibration|counts/);
  });
});
