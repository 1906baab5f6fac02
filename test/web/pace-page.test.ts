import { readFileSync } from 'node:fs';
import path from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { insertDrivers } from '../../server/drivers/store.ts';
import { insertFit, selectOptionalLatestFit } from '../../server/pace/pace-store.ts';
import type { JobName } from '../../server/work/jobs.ts';
import type { Work } from '../../server/work/work.ts';
import { startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { emptyClub } from '../helpers/own-pages.ts';

const folder = path.resolve(import.meta.dirname, '../reference/data/pace/seasons');
const fileOf = (name: string) => readFileSync(path.join(folder, name));

let t: TestApp;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const newClub = () => {
  clubs += 1;
  return emptyClub(t, `pace${clubs}`);
};
const latest = (clubId: string) => t.db.readClub(clubId, (tx) => selectOptionalLatestFit(tx, clubId));

/** Reads laps in; a text or a file of the public seasons. */
async function readIn(clubId: string, director: Visitor, laps: string | Uint8Array, drivers?: Uint8Array) {
  const form = new FormData();
  form.set('name', 'Past');
  form.set('laps', new Blob([laps as BlobPart]), 'laps.csv');
  if (drivers) form.set('drivers', new Blob([new Uint8Array(drivers)]), 'drivers.csv');
  await director.get(`/c/${clubId}/pace/import`);
  const read = await director.uploadForm(`/c/${clubId}/pace/import`, form);
  expect(read.statusCode, read.body.slice(0, 3000)).toBe(303);
  expect((await director.post(String(read.headers.location))).statusCode).toBe(303);
}

/** The page once nothing runs any more. */
async function settledPage(clubId: string, director: Visitor): Promise<string> {
  await director.get(`/c/${clubId}/pace`);
  await t.app.fits.settled(clubId);
  const page = await director.get(`/c/${clubId}/pace`);
  expect(page.statusCode).toBe(200);
  await t.app.fits.settled(clubId);
  return page.body;
}

test('without laps the page says what is missing, also when it is asked to work out', async () => {
  const { clubId, director } = await newClub();
  const page = await settledPage(clubId, director);
  expect(page).toContain('No pace yet');
  expect(page).toContain('Laps are missing.');
  expect((await director.post(`/c/${clubId}/pace/again`)).statusCode).toBe(303);
  expect(await settledPage(clubId, director)).toContain('Laps are missing.');
  expect((await director.get(`/c/${clubId}/club`)).body).toContain(`/c/${clubId}/pace"`);
});

test('a season that was read in: who is how quick, from what, and how to repeat it', { timeout: 60_000 }, async () => {
  const { clubId, director } = await newClub();
  await readIn(clubId, director, fileOf('P1_laps.csv'), fileOf('P1_drivers.csv'));
  await director.get(`/c/${clubId}/pace`);
  const polled = await director.get(`/c/${clubId}/pace/state`);
  expect(polled.body).toMatch(/^<div id="pace">/);
  expect(polled.body).toMatch(/Working it out: \d+ %/);
  const page = await settledPage(clubId, director);
  const fit = await latest(clubId);
  expect(page).toContain(fit?.fit.inputsHash);
  expect(page).toContain(String(fit?.fit.seed));
  expect(page).toContain(`${fit?.laps.toLocaleString('en')} laps on ${fit?.nights} nights`);
  expect(page).not.toContain('id="pace-poll"');
  for (const { driver } of fit?.fit.drivers.filter(({ classes }) => classes.some(({ heats }) => heats > 0)) ?? []) {
    expect(page).toContain(`href="/c/${clubId}/drivers/${driver}/pace"`);
  }
  expect(page).not.toMatch(/NaN|Infinity|undefined/);

  // Worked out again: the same figures under another number.
  await director.post(`/c/${clubId}/pace/again`);
  expect(t.app.fits.running(clubId)).not.toBeNull();
  await t.app.fits.settled(clubId);
  const again = await latest(clubId);
  expect(again?.n).toBe((fit?.n ?? 0) + 1);
  expect({ ...again?.fit, seed: 0 }).toEqual({ ...fit?.fit, seed: 0 });
});

const head = 'night,heat,start_s,track,lane,driver,class,lap,time_s,flag\n';
const laps = (times: readonly (number | string)[], driver = 'Ada', flag = '') =>
  times.map((time, i) => `1,H1,0,Hall,1,${driver},Open,${i + 1},${time},${flag}`).join('\n');

test.each([
  ['one lap', laps([6])],
  ['one driver', laps(Array(30).fill(6.2))],
  ['identical laps of two', `${laps(Array(30).fill(6.2))}\n${laps(Array(30).fill(6.2), 'Bo')}`],
  ['nothing but crashes', `${laps([6, 12, 30, 9, 14], 'Ada', 'crash')}\n${laps([6, 12, 30, 9], 'Bo', 'crash')}`],
  ['nothing but calls', laps([6, 6, 6, 6], 'Ada', 'call')],
  ['laps of an hour', `${laps([6, 3600, 3600, 3600])}\n${laps([6, 6.1, 6.2], 'Bo')}`],
  ['times that no car drives', laps(['0.0000001', '0.000001', 86400, 0.01])],
  ['one heat of everybody at once', Array.from({ length: 20 }, (_, i) => laps([7, 6.1, 6.3], `D${i}`)).join('\n')],
])('bad history gives numbers or a sentence, never an error: %s', async (_name, rows) => {
  const { clubId, director } = await newClub();
  await readIn(clubId, director, head + rows);
  const page = await settledPage(clubId, director);
  expect(page).not.toMatch(/NaN|Infinity|undefined|null/);
  expect(page).toContain('There are few nights so far');
  expect(page).not.toContain('The last try to work it out failed.');
  const fit = await latest(clubId);
  // What is no number becomes null in JSON; a group that nobody named and learning without juniors are null by right.
  expect(JSON.stringify(fit?.fit)).not.toMatch(/[:[,]null(?<!"(?:group|learning)":null)/);
  for (const { driver } of fit?.fit.drivers ?? []) {
    const own = await director.get(`/c/${clubId}/drivers/${driver}/pace`);
    expect(own.statusCode).toBe(200);
    expect(own.body).not.toMatch(/NaN|Infinity|undefined/);
  }
});

test('a fit that failed is said so, the one before stays, and nobody tries again at once', async () => {
  const { clubId, director } = await newClub();
  await readIn(clubId, director, head + laps(Array(20).fill(6.1)));
  await settledPage(clubId, director);
  const before = await latest(clubId);
  const { work } = t.app as unknown as { work: Work };
  const { run } = work;
  let asked = 0;
  work.run = ((name: JobName, ...rest: unknown[]) => {
    if (name !== 'paceFit') return (run as (...all: unknown[]) => unknown)(name, ...rest);
    asked += 1;
    return Promise.reject(new Error('out of memory'));
  }) as Work['run'];
  try {
    await t.db.withClub(clubId, (tx) =>
      insertDrivers(tx, [{ clubId, id: 'x', nickname: 'Xi', nicknameKey: 'xi', paceGroup: 'adult' }]),
    );
    const page = await settledPage(clubId, director);
    expect(page).toContain('The last try to work it out failed.');
    expect(page).toContain(before?.fit.inputsHash);
    await settledPage(clubId, director);
    expect(asked).toBe(1);
    t.clock.advance(61_000_000);
    await settledPage(clubId, director);
    expect(asked).toBe(2);
  } finally {
    work.run = run;
  }
  await director.post(`/c/${clubId}/pace/again`);
  expect(await settledPage(clubId, director)).not.toContain('failed');
});

test('a fit of a driver who is gone, or of a class that is gone, still has a page', async () => {
  const { clubId, director } = await newClub();
  await readIn(clubId, director, head + laps(Array(20).fill(6.1)));
  await settledPage(clubId, director);
  const stored = await latest(clubId);
  if (!stored) throw new Error('no fit');
  const renamed = JSON.parse(
    JSON.stringify(stored.fit)
      .replace(/"driver":"[a-z0-9]+"/g, '"driver":"gone"')
      .replace(/"carClass":"[a-z0-9]+"/g, '"carClass":"gone"'),
  );
  await t.db.withClub(clubId, (tx) => insertFit(tx, clubId, { ...stored, fit: renamed }));
  const page = await director.get(`/c/${clubId}/pace`);
  expect(page.statusCode).toBe(200);
  expect(page.body).toContain('a driver who is gone');
  expect(page.body).toContain('a class that is gone');
});
