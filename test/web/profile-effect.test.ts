import { and, eq, inArray } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { carClass, heat, heatLane, race } from '../../db/schema/index.ts';
import { selectOptionalLatestFit } from '../../server/pace/pace-store.ts';
import { addProfile, addVersion } from '../../server/profiles/actions.ts';
import type { VersionEffect } from '../../server/profiles/effect/version-effect.ts';
import {
  selectEffectKeys,
  selectEffects,
  selectOptionalEffectBetween,
  versionKey,
} from '../../server/profiles/effect-store.ts';
import { randomFrom } from '../../server/shared/random.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';
import { profileWith } from '../helpers/profile-forms.ts';

const slug = 'owls';
const s = 1_000_000;
const heatS = 90;
/** Version of Ada's profile in each heat, all on lane 1; the second one is 4 % quicker. */
const order = [1, 2, 2, 1, 1, 2, 2, 1] as const;
const lapS = { 1: 5, 2: 4.8 } as const;

let t: TestApp;
let n: PlantedNight;
let director: Visitor;
let ada: Visitor;
let page: string;
let profileId: string;
let other: string;
const random = randomFrom(11);

beforeAll(async () => {
  t = await startTestApp();
  n = await plantNight(t.db, {
    slug,
    lanes: 3,
    drivers: ['Ada', 'Bo', 'Cy'],
    heats: [...order, 0, 0].map(() => ({ lanes: [1, 2, 3] })),
    race: { durationMs: heatS * 1000 },
  });
  director = await signedIn(t, slug, 'director');
  ada = await signedIn(t, slug, 'driver', { driverId: 'd1', meetingId: n.meetingId, label: 'Ada' });
  await director.get(n.path('control'));
  profileId = await newProfile('d1', 80);
  other = await newProfile('d2', 80);
  page = `/c/${slug}/profiles/${profileId}`;
  await version(110, 'more bite');
  await ada.get(page);
  await chooseFor(director, other, 1);
  for (const [i, one] of order.entries()) {
    await chooseFor(ada, profileId, one);
    await runHeat(`h${i + 1}`, [lapS[one], 5.2, 5.4]);
  }
  await t.app.fits.ensure(slug);
  await t.app.fits.settled(slug);
});
afterAll(() => t.close());

async function newProfile(driverId: string, minDrive: number): Promise<string> {
  const fresh = { driverId, carId: null, trackId: null, setup: profileWith({ minDrive }), note: '', author: 'Ada' };
  const made = await t.db.withClub(slug, (tx) => addProfile(tx, slug, { ...fresh, origin: null }));
  if (!('id' in made)) throw new Error('no profile was made');
  return made.id;
}

const version = (minDrive: number, note = '') =>
  t.db.withClub(slug, (tx) =>
    addVersion(tx, slug, profileId, { setup: profileWith({ minDrive }), note, author: 'Ada', origin: null }),
  );

async function chooseFor(by: Visitor, id: string, one: number): Promise<void> {
  const answer = await by.post(`/c/${slug}/profiles/${id}/choices`, { version: String(one), lane: '' });
  expect(answer.statusCode, answer.body).toBe(303);
}

async function press(id: string, kind: string): Promise<void> {
  const { body } = await director.get(n.path('control'));
  const seen = new RegExp(`heats/${id}/press"[^>]*>(?:<input[^>]*>)*?<input[^>]*name="seen_n" value="(\\d+)"`).exec(
    body,
  );
  const answer = await director.post(n.path(`heats/${id}/press`), { kind, seen_n: seen?.[1] ?? '0' });
  expect(answer.statusCode, `${id} ${kind}`).toBe(303);
}

/** Runs a heat with laps around these lengths; Ada's heats are also as good or bad as heats are. */
async function runHeat(id: string, lengths: readonly number[], end: 'confirm' | 'leave' = 'confirm'): Promise<void> {
  await press(id, 'arm');
  await press(id, 'start');
  t.clock.advance(5 * s);
  const startUs = t.clock.nowUs();
  const crossings = lengths.flatMap((length, i) => {
    const level = length * Math.exp(0.005 * random.normal());
    const out: [number, number][] = [];
    for (let at = 0.4; at < heatS; at += level * Math.exp(0.015 * random.normal())) {
      out.push([i + 1, startUs + Math.round(at * s)]);
    }
    return out;
  });
  await n.cross(...crossings.sort((a, b) => a[1] - b[1]));
  t.clock.advance((heatS + 20) * s);
  if (end === 'confirm') await press(id, 'confirm');
}

const fitNow = async () => (await t.db.readClub(slug, (tx) => selectOptionalLatestFit(tx, slug)))?.fit ?? null;
const effectsOf = async (id = profileId, withFit = true) => {
  const fit = withFit ? await fitNow() : null;
  return t.db.readClub(slug, (tx) => selectEffects(tx, slug, id, fit));
};
const second = (effects: readonly VersionEffect[]) => effects.find(({ version: number }) => number === 2);

/** The words of a page, tags taken off. */
const words = (html: string) =>
  html
    .replace(/<(style|script)[\s\S]*?<\/\1>/g, '')
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

describe('whether a version helped', () => {
  test('is measured from the heats that noted it', async () => {
    const found = second(await effectsOf());
    expect(found).toMatchObject({ is: 'compared', against: 1 });
    expect(found?.effect).toMatchObject({ verdict: 'faster', heats: { a: 4, b: 4 }, nightsWithBoth: 1 });
    expect(found?.effect?.effect).toBeCloseTo(Math.log(4.8 / 5), 1);
    expect(found?.effect?.interval?.low).toBeLessThan(Math.log(4.8 / 5));
    expect(found?.effect?.interval?.high).toBeGreaterThan(Math.log(4.8 / 5));
    expect(found?.effect?.laps.b).toBeGreaterThan(4 * 17);
    // The same driver without anything worked out yet: less is known, and the answer is still one.
    expect(second(await effectsOf(profileId, false))?.effect?.verdict).toBe('faster');
  });

  test('stands on the page of the profile, with limits and laps', async () => {
    const text = words((await ada.get(page)).body);
    expect(text).toContain('Faster than version 1: a lap takes');
    expect(text).toMatch(/in 9 of 10 cases the truth lies between [\d.]+ % less and [\d.]+ % less/);
    expect(text).toMatch(/Before: 4 heats, \d+ laps, \d+ of them clean. After: 4 heats/);
    expect(text).toContain('One evening had both');
    expect(text).not.toMatch(/NaN|undefined/);
  });

  test('two versions or profiles are compared on request, of one driver only', async () => {
    const fit = await fitNow();
    const between = (a: [string, number], b: [string, number]) =>
      t.db.readClub(slug, (tx) =>
        selectOptionalEffectBetween(
          tx,
          slug,
          { profileId: a[0], version: a[1] },
          { profileId: b[0], version: b[1] },
          fit,
        ),
      );
    const forth = await between([profileId, 1], [profileId, 2]);
    const back = await between([profileId, 2], [profileId, 1]);
    expect(back?.effect).toBeCloseTo(-(forth?.effect ?? 0), 9);
    expect(await between([profileId, 1], [other, 1])).toBeNull();
    expect(await between([profileId, 1], [profileId, 9])).toBeNull();
    expect(await between([profileId, 1], [profileId, 1])).toBeNull();
  });

  test('gives lists a key: what helped stands first', async () => {
    const fit = await fitNow();
    const wanted = [
      { profileId, version: 2 },
      { profileId, version: 1 },
      { profileId: other, version: 1 },
      { profileId: 'nobody', version: 1 },
    ];
    const keys = await t.db.readClub(slug, (tx) => selectEffectKeys(tx, slug, wanted, fit));
    expect(wanted.map((one) => (keys.get(versionKey(one)) ?? 0) > 0)).toEqual([true, false, false, false]);
  });
});

describe('the page of the driver’s pace', () => {
  test('has the heats of a night set to the versions they noted, until somebody says otherwise', async () => {
    const pace = `/c/${slug}/drivers/d1/pace`;
    const own = await ada.get(pace);
    expect(words(own.body)).toContain('Compared: 4 heats with A, 4 heats with B.');
    expect(words(own.body)).toMatch(/Dialled in: Evening, version 1/);
    const fields = [...new Set([...own.body.matchAll(/name="(of\.[^"]+)"/g)].map(([, name]) => name as string))];
    const said = fields.map((name, i) => `${encodeURIComponent(name)}=${i === 0 ? 'a' : ''}`).join('&');
    expect(words((await ada.get(`${pace}?${said}`)).body)).toContain('Nothing can be compared');
    // What is in somebody's profiles is nobody else's business.
    for (const visitor of [new Visitor(t.app), await signedIn(t, slug, 'driver', { driverId: 'd2' })]) {
      expect(words((await visitor.get(pace)).body)).not.toMatch(/Dialled in|Compared:/);
    }
  });
});

describe('heats that do not count', () => {
  const heatsOf = async () => second(await effectsOf())?.effect?.heats;

  test('one that was not confirmed; then it counts; void it does not', async () => {
    await chooseFor(ada, profileId, 2);
    await runHeat('h9', [4.8, 5.2, 5.4], 'leave');
    expect(await heatsOf()).toEqual({ a: 4, b: 4 });
    await press('h9', 'confirm');
    expect(await heatsOf()).toEqual({ a: 4, b: 5 });
    const answer = await director.post(n.path('heats/h9/void'), { why: 'power was off' });
    expect(answer.statusCode).toBe(303);
    expect(await heatsOf()).toEqual({ a: 4, b: 4 });
  });

  test('one of another driver, whatever its lane noted', async () => {
    const note = (profile: string | null, one: number | null, entryId: string) =>
      t.db.withClub(slug, (tx) =>
        tx
          .update(heatLane)
          .set({ profileId: profile, profileVersion: one })
          .where(and(eq(heatLane.clubId, slug), inArray(heatLane.heatId, ['h1', 'h4']), eq(heatLane.entryId, entryId))),
      );
    await note(profileId, 2, 'e2');
    expect(await heatsOf()).toEqual({ a: 4, b: 4 });
    await note(other, 1, 'e2');
  });

  test('those under a race limit below what the version gives', async () => {
    const limit = (driveLimit: number | null) =>
      t.db.withClub(slug, (tx) => tx.update(race).set({ driveLimit }).where(eq(race.clubId, slug)));
    await limit(800);
    expect(second(await effectsOf())?.is).toBe('notDriven');
    await limit(1000);
    expect(await heatsOf()).toEqual({ a: 4, b: 4 });
    await limit(null);
  });

  test('those of another class of cars: they have a level of their own', async () => {
    const secondOnes = ['h2', 'h3', 'h6', 'h7'];
    const inRace = (raceId: string) =>
      t.db.withClub(slug, (tx) =>
        tx
          .update(heat)
          .set({ raceId })
          .where(and(eq(heat.clubId, slug), inArray(heat.id, secondOnes))),
      );
    await t.db.withClub(slug, async (tx) => {
      await tx.insert(carClass).values({ clubId: slug, id: 'c2', name: 'Trucks' });
      const [open] = await tx.select().from(race).where(eq(race.clubId, slug));
      if (open) await tx.insert(race).values({ ...open, id: 'r2', ordinal: 2, name: 'Trucks', classId: 'c2' });
    });
    await inRace('r2');
    expect(second(await effectsOf())?.effect).toMatchObject({ interval: null, verdict: 'notEnoughLaps' });
    await inRace('r1');
    expect(second(await effectsOf())?.effect?.verdict).toBe('faster');
  });
});
