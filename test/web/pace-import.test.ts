import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { carClass, driver, lapImport, pastLap } from '../../db/schema/index.ts';
import { insertClass } from '../../server/drivers/cars-store.ts';
import { insertDrivers } from '../../server/drivers/store.ts';
import { nightsOf, selectLapRows } from '../../server/pace/laps-store.ts';
import { selectOptionalLatestFit } from '../../server/pace/pace-store.ts';
import { addProfile } from '../../server/profiles/actions.ts';
import { nameKey } from '../../server/shared/names.ts';
import { insertTrack } from '../../server/tracks/store.ts';
import { signedIn, startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { emptyClub, expectDirectorOnly } from '../helpers/own-pages.ts';
import { profileWith } from '../helpers/profile-forms.ts';

let t: TestApp;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

/** A new club with its director. */
const newClub = () => {
  clubs += 1;
  return emptyClub(t, `past${clubs}`);
};

const head = 'night,heat,start_s,track,lane,driver,class,lap,time_s,flag';
/** A table of laps with these lines below its head. */
const table = (...lines: readonly string[]) => [head, ...lines].join('\n');
const good = table(
  '3,H1,0,Old hall,1,Ada,Open,1,7.25,',
  '3,H1,0,Old hall,1,Ada,Open,2,6.125,crash',
  '3,H1,0,Old hall,2,Bo,Open,2,6.5,call',
  '7,H1,12.5,Old hall,2,ada,Open,2,6.0000004,',
);
const people = 'driver,group,nights_before\nAda,junior,4\nBo,,\nNobody,adult,9';

async function upload(
  visitor: Visitor,
  clubId: string,
  files: { laps?: string | Uint8Array; drivers?: string; name?: string },
) {
  const { name = 'Old seasons', laps, drivers } = files;
  const form = new FormData();
  form.set('name', name);
  if (laps !== undefined) form.set('laps', new Blob([laps as BlobPart]), 'laps.csv');
  if (drivers !== undefined) form.set('drivers', new Blob([drivers]), 'drivers.csv');
  await visitor.get(`/c/${clubId}/pace/import`);
  return visitor.uploadForm(`/c/${clubId}/pace/import`, form);
}

const inClub = async (clubId: string) =>
  t.db.readClub(clubId, async (tx) => ({
    imports: await tx.select().from(lapImport).where(eq(lapImport.clubId, clubId)),
    laps: (await tx.select().from(pastLap).where(eq(pastLap.clubId, clubId))).length,
    drivers: await tx.select().from(driver).where(eq(driver.clubId, clubId)).orderBy(driver.nickname),
    classes: await tx.select().from(carClass).where(eq(carClass.clubId, clubId)),
  }));

const nothing = { imports: [], laps: 0, drivers: [], classes: [] };

test('only the director reads past laps in, or removes them', async () => {
  const { clubId } = await newClub();
  const at = (path: string) => `/c/${clubId}/pace${path}`;
  await expectDirectorOnly(t, clubId, {
    get: [at(''), at('/state'), at('/import'), at('/import/nothing')],
    post: [at('/again'), at('/import/nothing'), at('/imports/nothing/remove')],
  });
});

test('what is in the tables is shown first; saving adds laps, drivers and classes; removing takes them away', async () => {
  const { clubId, director } = await newClub();
  await t.db.withClub(clubId, async (tx) => {
    await insertDrivers(tx, [{ clubId, id: 'bo', nickname: 'Bo', nicknameKey: nameKey('Bo'), paceGroup: 'adult' }]);
    const lanes = [1, 2].map((number) => ({
      number,
      colour: '#0072b2',
      pattern: 'solid',
      lengthMm: 10_000,
      minLapUs: 1_000_000,
    }));
    const settings = { startMode: 'ahead', holdRollUs: 0, endRollUs: 0 };
    await insertTrack(tx, { clubId, id: 'hall', name: 'OLD  hall', ...settings }, lanes);
  });
  const before = await inClub(clubId);
  const read = await upload(director, clubId, { laps: good, drivers: people });
  expect(read.statusCode).toBe(303);
  const check = String(read.headers.location);
  const shown = await director.get(check);
  expect(shown.body).toContain('Nothing is saved yet');
  expect(shown.body).toContain('2, 1 of them new');
  expect(shown.body).toContain('junior');
  expect(shown.body).not.toContain('Nobody');
  expect(await inClub(clubId)).toEqual(before);

  const saved = await director.post(check);
  expect(saved.headers.location).toBe(`/c/${clubId}/pace?done=saved`);
  expect((await director.post(check)).statusCode).toBe(404);
  const now = await inClub(clubId);
  expect(now.imports).toMatchObject([{ name: 'Old seasons', rows: 4, nights: 2 }]);
  expect(now.drivers).toMatchObject([
    { nickname: 'Ada', public: false, paceGroup: 'junior', nightsBefore: 4 },
    { nickname: 'Bo', id: 'bo', paceGroup: 'adult', nightsBefore: 0 },
  ]);
  expect(now.classes).toMatchObject([{ name: 'Open' }]);
  const [ada] = now.drivers;
  const [open] = now.classes;
  const rows = await t.db.readClub(clubId, (tx) => selectLapRows(tx, clubId));
  const h1 = { night: 1, heat: 'H1', startS: 0, track: 'hall', carClass: open?.id };
  expect(rows).toEqual([
    { ...h1, lane: 1, driver: ada?.id, lap: 1, timeS: 7.25, flag: '' },
    { ...h1, lane: 1, driver: ada?.id, lap: 2, timeS: 6.125, flag: 'crash' },
    { ...h1, lane: 2, driver: 'bo', lap: 2, timeS: 6.5, flag: 'call' },
    { ...h1, night: 2, startS: 12.5, lane: 2, driver: ada?.id, lap: 2, timeS: 6, flag: '' },
  ]);

  const page = await director.get(`/c/${clubId}/pace?done=saved`);
  expect(page.body).toContain('The past laps are saved.');
  expect(page.body).toContain('Old seasons');
  // So few laps may be worked out before the page is made; it never says that they are missing.
  expect(page.body).toMatch(/id="pace-poll"|Worked out/);
  expect(page.body).not.toContain('Laps are missing');
  await t.app.fits.settled(clubId);
  expect(await t.db.readClub(clubId, (tx) => selectOptionalLatestFit(tx, clubId))).toMatchObject({
    laps: 4,
    nights: 2,
  });

  const [one] = now.imports;
  const removed = await director.post(`/c/${clubId}/pace/imports/${one?.id}/remove`);
  expect(removed.headers.location).toBe(`/c/${clubId}/pace?done=removed`);
  expect(await inClub(clubId)).toEqual(before);
  expect((await director.get(String(removed.headers.location))).body).toContain('The past laps are removed.');
  await t.app.fits.settled(clubId);
  expect(await t.db.readClub(clubId, (tx) => selectOptionalLatestFit(tx, clubId))).toBeNull();
  expect((await director.post(`/c/${clubId}/pace/imports/${one?.id}/remove`)).statusCode).toBe(404);
});

test('drivers and classes that something else names stay when their import goes', async () => {
  const { clubId, director } = await newClub();
  const save = async (name: string, laps: string) => {
    const read = await upload(director, clubId, { name, laps });
    expect((await director.post(String(read.headers.location))).statusCode).toBe(303);
  };
  await save('First', good);
  await save('Second', table('1,H9,0,Attic,1,Ada,Open,2,5.5,', '1,H9,0,Attic,1,Cy,Trucks,3,5.5,'));
  const nights = await t.db.readClub(clubId, (tx) => nightsOf(tx, clubId));
  expect(nights.size).toBe(0);
  const rows = await t.db.readClub(clubId, (tx) => selectLapRows(tx, clubId));
  expect([...new Set(rows.map(({ night }) => night))]).toEqual([1, 2, 3]);
  const { imports } = await inClub(clubId);
  const first = imports.find(({ name }) => name === 'First');
  await director.post(`/c/${clubId}/pace/imports/${first?.id}/remove`);
  const left = await inClub(clubId);
  expect(left).toMatchObject({ laps: 2, drivers: [{ nickname: 'Ada' }, { nickname: 'Cy' }] });
  expect(left.classes.map(({ name }) => name).sort()).toEqual(['Open', 'Trucks']);
});

test('a driver who keeps a controller profile stays when the import goes', async () => {
  const { clubId, director } = await newClub();
  const read = await upload(director, clubId, { name: 'First', laps: good });
  expect((await director.post(String(read.headers.location))).statusCode).toBe(303);
  const ada = (await inClub(clubId)).drivers.find(({ nickname }) => nickname === 'Ada');
  const first = { setup: profileWith(), note: '', author: 'director', origin: null };
  const kept = await t.db.withClub(clubId, (tx) =>
    addProfile(tx, clubId, { driverId: ada?.id ?? '', carId: null, trackId: null, ...first }),
  );
  expect(kept).toHaveProperty('id');
  const [one] = (await inClub(clubId)).imports;
  const removed = await director.post(`/c/${clubId}/pace/imports/${one?.id}/remove`);
  expect(removed.statusCode).toBe(303);
  const left = await inClub(clubId);
  expect(left.laps).toBe(0);
  expect(left.drivers.map(({ nickname }) => nickname)).toContain('Ada');
});

describe('tables with something wrong are not taken, and every problem is named', () => {
  const row = (changes: Readonly<Record<string, string>>) => {
    const fields: Record<string, string> = {
      night: '1',
      heat: 'H1',
      start_s: '0',
      track: 'Hall',
      lane: '1',
      driver: 'Ada',
      class: 'Open',
      lap: '2',
      time_s: '6.5',
      flag: '',
    };
    return head
      .split(',')
      .map((column) => changes[column] ?? fields[column])
      .join(',');
  };

  test.each([
    ['', 'Choose a file with laps.'],
    ['\n\n', 'Laps, line 1: there is no column “night”.'],
    [head, 'Laps: there is no lap in the table.'],
    ['night;heat;start_s', 'there is no column “night”.'],
    ['night,heat,start_s,track,lane,driver,class,lap,time_s', 'there is no column “flag”.'],
    [table(row({ time_s: '0' })), 'Laps, line 2: “time_s” is 0, which is too small.'],
    [table(row({}), row({ lap: '3', time_s: '-6' })), 'Laps, line 3: “time_s” is -6, which is too small.'],
    [table(row({ time_s: 'Infinity' })), 'line 2: “time_s” is “Infinity”, which is no number.'],
    [table(row({ time_s: 'NaN' })), 'line 2: “time_s” is “NaN”, which is no number.'],
    [table(row({ time_s: '1e300' })), 'line 2: “time_s” is 1e+300, which is too large.'],
    [table(row({ time_s: '' })), 'line 2: “time_s” is empty.'],
    [table(row({ lane: '0' })), 'line 2: “lane” is 0, which is too small.'],
    [table(row({ lane: '1.5' })), 'line 2: “lane” is 1.5; a whole number is needed.'],
    [table(row({ lane: '3000000000' })), 'line 2: “lane” is 3000000000, which is too large.'],
    [table(row({ night: '-1' })), 'line 2: “night” is -1, which is too small.'],
    [table(row({ flag: 'spin' })), 'line 2: “flag” is “spin”, which is none of the words for it.'],
    [table(row({ driver: '' })), 'line 2: “driver” is empty.'],
    [table(row({ driver: 'A'.repeat(25) })), `line 2: “driver” is “${'A'.repeat(25)}”: too long`],
    [table(row({ driver: 'Ada\u202e' })), 'too long, or with signs that nobody can see.'],
    [table(row({}), row({ time_s: '1.1' }), row({})), 'line 4: lap 2 of this driver in this heat, with this time,'],
    [table(row({}), '', row({ lap: '3' }), row({ lap: '3' })), 'line 5: lap 3 of this driver'],
    [new Uint8Array([0xff, 0xfe, 0x41, 0x00]), 'this is no text in UTF-8'],
    [table(row({ driver: 'A\0da' })), 'this is no text in UTF-8'],
  ])('laps %#', async (laps, sentence) => {
    const { clubId, director } = await newClub();
    const answer = await upload(director, clubId, { laps });
    expect(answer.statusCode).toBe(422);
    expect(unescaped(answer.body)).toContain(sentence);
    expect(answer.body).toContain('value="Old seasons"');
    expect(await inClub(clubId)).toEqual(nothing);
  });

  test.each([
    ['driver\nAda', 'Drivers, line 1: there is no column “group”.'],
    ['driver,group\nAda,child', 'Drivers, line 2: “group” is “child”, which is none of the words for it.'],
    ['driver,group,nights_before\nAda,junior,-1', 'Drivers, line 2: “nights_before” is -1, which is too small.'],
    ['driver,group\nAda,junior\nAda,adult', 'Drivers, line 3: “Ada” stands there twice.'],
  ])('drivers %#', async (drivers, sentence) => {
    const { clubId, director } = await newClub();
    const answer = await upload(director, clubId, { laps: good, drivers });
    expect(answer.statusCode).toBe(422);
    expect(unescaped(answer.body)).toContain(sentence);
    expect(await inClub(clubId)).toEqual(nothing);
  });

  test('many problems are counted and the first ones shown', async () => {
    const { clubId, director } = await newClub();
    const laps = table(...Array.from({ length: 300 }, () => row({ time_s: 'fast' })));
    const answer = await upload(director, clubId, { laps });
    expect(answer.body).toContain('300 things are wrong. Nothing was saved.');
    expect(answer.body).toContain('The first 50 of them:');
    expect(answer.body).toContain('line 51:');
    expect(answer.body).not.toContain('line 52:');
  });

  test('a form without a name, without a file, or with one that is too large', async () => {
    const { clubId, director } = await newClub();
    const nameless = await upload(director, clubId, { laps: good, name: ' ' });
    expect(nameless.statusCode).toBe(422);
    expect(nameless.body).toContain('Give it a name.');
    expect((await upload(director, clubId, {})).body).toContain('Choose a file with laps.');
    const large = await upload(director, clubId, { laps: new Uint8Array(65 * 1024 * 1024) });
    expect(large.statusCode).toBe(413);
    expect(large.body).toContain('larger than 64 MB');
    expect(await inClub(clubId)).toEqual(nothing);
  });
});

test('what was read in belongs to the club it was read in for', async () => {
  const one = await newClub();
  const other = await newClub();
  const read = await upload(one.director, one.clubId, { laps: good });
  const there = String(read.headers.location).replace(one.clubId, other.clubId);
  const director = await signedIn(t, other.clubId, 'director');
  const answer = await director.get(there);
  expect(answer.statusCode).toBe(404);
  expect(answer.body).toContain('no longer here');
  expect((await director.post(there)).statusCode).toBe(404);
  expect(await inClub(other.clubId)).toEqual(nothing);
});

test('texts that would break out of a page are shown as they are', async () => {
  const { clubId, director } = await newClub();
  await t.db.withClub(clubId, (tx) => insertClass(tx, { clubId, id: 'c1', name: 'Open' }));
  const laps = table('1,"H,""1""",0,"<b>Hall</b>",1,"<i>x",Open,2,6.5,');
  const read = await upload(director, clubId, { laps, name: '<script>' });
  const shown = await director.get(String(read.headers.location));
  expect(shown.body).toContain('&lt;b>Hall&lt;/b>');
  expect(shown.body).not.toMatch(/<b>Hall|<i>x|<script>\s*</);
  await director.post(String(read.headers.location));
  const rows = await t.db.readClub(clubId, (tx) => selectLapRows(tx, clubId));
  expect(rows).toMatchObject([{ heat: 'H,"1"', track: '<b>Hall</b>' }]);
  expect((await director.get(`/c/${clubId}/pace`)).body).toContain('&lt;script>');
});

const unescaped = (html: string) => html.replaceAll('&quot;', '"').replaceAll('&lt;', '<').replaceAll('&amp;', '&');
