import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { pickMeeting } from '../../server/meetings/pick-meeting.ts';
import { selectEntries, selectMeetings, selectOptionalMeeting, selectRaces } from '../../server/meetings/store.ts';
import { insertTrack, selectOptionalTrack } from '../../server/tracks/store.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { emptyClub, expectDirectorOnly, formFields, hostileNames, inHtml } from '../helpers/own-pages.ts';
import { plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let director: Visitor;
const club = '/c/owls';
beforeAll(async () => {
  t = await startTestApp();
  director = (await emptyClub(t)).director;
  for (const [id, name, lanes] of [['attic', 'Attic ring', 4] as const, ['barn', 'Barn oval', 2] as const]) {
    await t.db.withClub('owls', (tx) =>
      insertTrack(
        tx,
        { clubId: 'owls', id, name, startMode: 'behind', holdRollUs: 2_000_000, endRollUs: 1_500_000 },
        Array.from({ length: lanes }, (_, i) => ({
          number: i + 1,
          colour: '#0072b2',
          pattern: 'solid',
          lengthMm: 12_000,
          minLapUs: 2_500_000,
        })),
      ),
    );
  }
});
afterAll(() => t.close());

const stored = () => t.db.readClub('owls', (tx) => selectMeetings(tx, 'owls', { archived: true }));
const meeting = async (id: string) => {
  const found = await t.db.readClub('owls', (tx) => selectOptionalMeeting(tx, 'owls', id));
  if (!found) throw new Error(`no meeting ${id}`);
  return found;
};
const planNo = async (track: string) =>
  (await t.db.readClub('owls', (tx) => selectOptionalTrack(tx, 'owls', track)))?.planNo ?? 0;

/** Opens a meeting as the director does. Returns its id. */
async function open(fields: Record<string, string> = {}): Promise<string> {
  await director.get(`${club}/meetings/new`);
  const answer = await director.post(`${club}/meetings/new`, {
    name: 'Race night',
    date: '2027-01-15',
    trackId: 'attic',
    ...fields,
  });
  expect(answer.statusCode).toBe(303);
  return String(answer.headers.location).split('/').at(-1) as string;
}

test('only the director opens and changes meetings', async () => {
  const one = `${club}/meetings/nothing`;
  await expectDirectorOnly(t, 'owls', {
    get: [
      `${club}/meetings`,
      `${club}/meetings/new`,
      one,
      `${one}/edit`,
      `${one}/night`,
      `${one}/copy`,
      `${one}/races/new`,
      `${one}/races/r1/edit`,
    ],
    post: [
      `${club}/meetings/new`,
      ...['edit', 'archive', 'restore', 'joining', 'publish', 'night', 'copy', 'races/new'].map((p) => `${one}/${p}`),
      ...['edit', 'delete', 'earlier'].map((p) => `${one}/races/r1/${p}`),
    ],
  });
  expect(await stored()).toEqual([]);
  for (const url of [one, `${one}/edit`, `${one}/races/r1/edit`, `${club}/meetings/%22`]) {
    expect((await director.get(url)).statusCode, url).toBe(404);
  }
});

describe('the first page', () => {
  test('without a meeting it says what to do', async () => {
    expect((await director.get(club)).body).toContain(`${club}/meetings/new`);
    const visitor = await new Visitor(t.app).get(club);
    expect(visitor.body).toContain('The director has not opened a meeting yet');
    expect(visitor.body).not.toContain('meetings/new');
    for (const path of ['control', 'timekeeper', 'me']) {
      expect((await director.get(`${club}/${path}`)).headers.location).toBe(club);
    }
  });

  test('today comes first, then what comes next, then the latest', () => {
    const list = ['2027-02-01', '2027-01-20', '2027-01-10'].map((date) => ({ date }));
    expect(pickMeeting(list, '2027-01-20')?.date).toBe('2027-01-20');
    expect(pickMeeting(list, '2027-01-15')?.date).toBe('2027-01-20');
    expect(pickMeeting(list, '2027-03-01')?.date).toBe('2027-02-01');
    expect(pickMeeting([], '2027-03-01')).toBeNull();
  });
});

describe('a new meeting', () => {
  test('is offered for today in the zone of the club, and copies the settings of its track', async () => {
    // The clock of these tests stands at 2027-01-15 08:00 UTC.
    const fields = formFields((await director.get(`${club}/meetings/new`)).body, `${club}/meetings/new`);
    expect(fields).toMatchObject({ name: 'Race night', date: '2027-01-15', trackId: '' });
    const id = await open();
    const made = await meeting(id);
    expect(made).toMatchObject({ trackId: 'attic', trackName: 'Attic ring', zone: 'UTC', published: false });
    expect(made.trackSettings).toEqual({
      startMode: 'behind',
      holdRollUs: 2_000_000,
      endRollUs: 1_500_000,
      lanes: [1, 2, 3, 4].map((lane) => ({ lane, lengthMm: 12_000, minLapUs: 2_500_000 })),
    });
    expect(made.joinCode).toMatch(/^[A-HJ-NP-Z2-9]{6}$/);
    expect(made.publicCode).toMatch(/^[A-Za-z0-9_-]{22}$/);
    const page = await director.get(`${club}/meetings/${id}`);
    expect(page.body).toContain(`/j/${made.joinCode}`);
    expect(page.body).toContain('Friday');
    expect((await director.get(`${club}/control`)).headers.location).toBe(`${club}/meetings/${id}/control`);
  });

  test('wrong input comes back and opens nothing', async () => {
    const before = (await stored()).length;
    for (const [field, value] of [
      ['name', ''],
      ['date', '2027-02-30'],
      ['date', 'soon'],
      ['trackId', ''],
      ['trackId', 'elsewhere'],
    ] as const) {
      const answer = await director.post(`${club}/meetings/new`, {
        name: 'Kept words',
        date: '2027-01-15',
        trackId: 'attic',
        [field]: value,
      });
      expect(answer.statusCode, field).toBe(422);
      expect(answer.body).toContain('Nothing was changed');
      if (field !== 'name') expect(answer.body).toContain('Kept words');
    }
    expect(await stored()).toHaveLength(before);
  });

  test('hostile names are refused or stand there as text', async () => {
    for (const name of hostileNames.refused) {
      const answer = await director.post(`${club}/meetings/new`, { name, date: '2027-01-15', trackId: 'attic' });
      expect(answer.statusCode, name).toBe(422);
    }
    for (const name of hostileNames.allowed) {
      const id = await open({ name, date: '2026-01-01' });
      for (const url of [`${club}/meetings/${id}`, `${club}/meetings`, `${club}/results`]) {
        const { body } = await director.get(url);
        expect(body, url).toContain(`<bdi>${inHtml(name)}</bdi>`);
        expect(body).not.toContain('<img onerror');
      }
    }
  });
});

describe('the night can be changed', () => {
  test('name and date, archived and brought back', async () => {
    const id = await open();
    const address = `${club}/meetings/${id}`;
    const before = await planNo('attic');
    await director.get(`${address}/edit`);
    const changed = await director.post(`${address}/edit`, {
      name: 'Autumn night',
      date: '2027-01-16',
      trackId: 'attic',
    });
    expect(changed.statusCode).toBe(303);
    expect(await meeting(id)).toMatchObject({ name: 'Autumn night', date: '2027-01-16' });
    expect(await planNo('attic')).toBeGreaterThan(before);

    await director.post(`${address}/archive`);
    expect(await meeting(id)).toMatchObject({ joinCode: null });
    expect((await meeting(id)).archivedAt).not.toBeNull();
    expect((await new Visitor(t.app).get(`${club}/results`)).body).not.toContain('Autumn night');
    expect((await director.post(`${address}/joining`, { joining: 'open' })).statusCode).toBe(409);
    await director.post(`${address}/restore`);
    expect((await meeting(id)).archivedAt).toBeNull();
  });

  test('another track means its settings, but not under a drawn rotation', async () => {
    const id = await open();
    const address = `${club}/meetings/${id}`;
    await director.post(`${address}/edit`, { name: 'Race night', date: '2027-01-15', trackId: 'barn' });
    expect((await meeting(id)).trackSettings.lanes).toHaveLength(2);

    const night = await plantNight(t.db, {
      slug: 'crows',
      lanes: 2,
      drivers: ['Ada', 'Bo'],
      heats: [{ lanes: [1, 2] }],
    });
    await t.db.withClub('crows', (tx) =>
      insertTrack(tx, { clubId: 'crows', id: 't2', name: 'Other', startMode: 'ahead', holdRollUs: 0, endRollUs: 0 }, [
        { number: 1, colour: '#0072b2', pattern: 'solid', lengthMm: 1000, minLapUs: 0 },
      ]),
    );
    const other = await signedIn(t, 'crows', 'director');
    await other.get(night.path('edit'));
    const refused = await other.post(night.path('edit'), { name: 'X', date: '2026-11-13', trackId: 't2' });
    expect(refused.statusCode).toBe(422);
    expect(refused.body).toContain('Take its heats off the plan first');
  });

  test('joining is closed, opened and given a new code', async () => {
    const id = await open();
    const address = `${club}/meetings/${id}`;
    const first = (await meeting(id)).joinCode;
    await director.get(address);
    await director.post(`${address}/joining`, { joining: 'new' });
    const second = (await meeting(id)).joinCode;
    expect(second).not.toBe(first);
    await director.post(`${address}/joining`, { joining: 'close' });
    expect((await meeting(id)).joinCode).toBeNull();
    expect((await director.get(address)).body).toContain('Joining is closed');
    await director.post(`${address}/joining`, { joining: 'open' });
    expect((await meeting(id)).joinCode).not.toBeNull();
    expect((await director.post(`${address}/joining`, { joining: 'perhaps' })).statusCode).toBe(400);
  });

  test('results are published and taken back', async () => {
    const id = await open();
    const address = `${club}/meetings/${id}`;
    const { publicCode } = await meeting(id);
    expect((await director.get(address)).body).not.toContain(publicCode);
    await director.post(`${address}/publish`, { published: 'yes' });
    expect((await meeting(id)).published).toBe(true);
    expect((await director.get(address)).body).toContain(`/r/${publicCode}`);
    await director.post(`${address}/publish`, { published: 'no' });
    expect((await meeting(id)).published).toBe(false);
  });

  test('what is counted tonight', async () => {
    const id = await open();
    const address = `${club}/meetings/${id}/night`;
    const fields = formFields((await director.get(address)).body, address);
    expect(fields).toMatchObject({ startMode: 'behind', holdRoll: '2', endRoll: '1.5', 'minLap-4': '2.5' });
    const before = await planNo('attic');
    const wrong = await director.post(address, { ...fields, 'minLap-3': '-1', holdRoll: 'long' });
    expect(wrong.statusCode).toBe(422);
    expect(wrong.body).toContain('value="long"');
    expect(await planNo('attic')).toBe(before);
    const right = await director.post(address, { ...fields, startMode: 'carry', holdRoll: '5', 'minLap-3': '3,25' });
    expect(right.statusCode).toBe(303);
    const { trackSettings } = await meeting(id);
    expect(trackSettings).toMatchObject({ startMode: 'carry', holdRollUs: 5_000_000, endRollUs: 1_500_000 });
    expect(trackSettings.lanes.map((lane) => lane.minLapUs)).toEqual([2_500_000, 2_500_000, 3_250_000, 2_500_000]);
    expect(await planNo('attic')).toBe(before + 1);
    // The track itself stays as it is.
    expect(await t.db.readClub('owls', (tx) => selectOptionalTrack(tx, 'owls', 'attic'))).toMatchObject({
      startMode: 'behind',
      holdRollUs: 2_000_000,
    });
  });
});

describe('races', () => {
  const races = (id: string) => t.db.readClub('owls', (tx) => selectRaces(tx, 'owls', id));
  const plain = { name: 'Race', newClass: 'All cars', kind: 'time', duration: '3:00' };

  test('on two lanes the first to ten laps is offered, as families race', async () => {
    const id = await open({ trackId: 'barn' });
    const address = `${club}/meetings/${id}/races/new`;
    expect(formFields((await director.get(address)).body, address)).toMatchObject({ kind: 'first', firstTo: '10' });
  });

  test('three kinds, each with its own fields', async () => {
    const id = await open();
    const address = `${club}/meetings/${id}/races/new`;
    expect(formFields((await director.get(address)).body, address)).toMatchObject({
      name: 'Race',
      newClass: 'All cars',
      kind: 'time',
      duration: '3:00',
    });
    await director.post(address, { ...plain, duration: '2:30', firstTo: 'not looked at' });
    await director.post(address, { ...plain, name: 'Sprint', kind: 'first', firstTo: '10', firstLimit: '5:00' });
    await director.post(address, {
      ...plain,
      name: 'Distance',
      newClass: '  all CARS ',
      kind: 'laps',
      laps: '20',
      lapsLimit: '',
      minLap: '3.5',
      missing: 'mean',
      heatsPerEntry: '4',
      standingFastest: 'on',
      marshals: '2',
      countdown: '3',
    });
    const made = await races(id);
    expect(made.map((race) => [race.id, race.ordinal, race.name, race.className])).toEqual([
      ['r1', 1, 'Race', 'All cars'],
      ['r2', 2, 'Sprint', 'All cars'],
      ['r3', 3, 'Distance', 'All cars'],
    ]);
    const format = (i: number) => {
      const { format: kind, durationMs, firstTo, laps, limitMs } = made[i] as (typeof made)[number];
      return { kind, durationMs, firstTo, laps, limitMs };
    };
    const none = { durationMs: null, firstTo: null, laps: null, limitMs: null };
    expect(format(0)).toEqual({ ...none, kind: 'time', durationMs: 150_000 });
    expect(format(1)).toEqual({ ...none, kind: 'time', durationMs: 300_000, firstTo: 10 });
    expect(format(2)).toEqual({ ...none, kind: 'laps', laps: 20 });
    expect(made[2]).toMatchObject({
      minLapUs: 3_500_000,
      missing: 'mean',
      heatsPerEntry: 4,
      standingFastest: true,
      marshals: 2,
      countdownMs: 3000,
    });
    expect(made[0]).toMatchObject({
      minLapUs: null,
      missing: 'zero',
      heatsPerEntry: null,
      marshals: 0,
      countdownMs: 5000,
    });
    const page = (await director.get(`${club}/meetings/${id}`)).body;
    for (const words of ['Most laps in 2:30', 'First to 10 laps, at most 5:00', 'Time for 20 laps']) {
      expect(page).toContain(words);
    }
    await director.post(`${club}/meetings/${id}/races/r3/earlier`);
    expect((await races(id)).map((race) => race.id)).toEqual(['r1', 'r3', 'r2']);
  });

  test('wrong input comes back with a sentence and adds nothing', async () => {
    const id = await open();
    const address = `${club}/meetings/${id}/races/new`;
    for (const wrong of [
      { name: '' },
      { newClass: '' },
      { kind: 'relay' },
      { duration: '' },
      { duration: '1:75' },
      { duration: '0:02' },
      { duration: '3 minutes' },
      { kind: 'first', firstTo: '0' },
      { kind: 'first', firstTo: '10', firstLimit: 'x' },
      { kind: 'laps', laps: '2.5' },
      { missing: 'mean' },
      { minLap: '-1' },
      { heatsPerEntry: '0' },
      { countdown: '61' },
      { marshals: '99' },
    ]) {
      const answer = await director.post(address, { ...plain, ...wrong });
      expect(answer.statusCode, JSON.stringify(wrong)).toBe(422);
      expect(answer.body).toContain('Nothing was changed');
    }
    expect(await races(id)).toEqual([]);
  });

  test('a race is changed, and deleted while nothing was armed', async () => {
    const id = await open();
    const address = `${club}/meetings/${id}/races`;
    await director.get(`${address}/new`);
    await director.post(`${address}/new`, plain);
    const fields = formFields((await director.get(`${address}/r1/edit`)).body, `${address}/r1/edit`);
    expect(fields).toMatchObject({ name: 'Race', kind: 'time', duration: '3:00', countdown: '5' });
    await director.post(`${address}/r1/edit`, { ...fields, name: 'Long race', duration: '10:00' });
    expect((await races(id))[0]).toMatchObject({ name: 'Long race', durationMs: 600_000 });
    expect((await director.post(`${address}/r1/delete`)).statusCode).toBe(303);
    expect(await races(id)).toEqual([]);
    expect((await director.post(`${address}/r1/delete`)).statusCode).toBe(404);
  });

  test('once armed a race stays, once started its heats keep their length', async () => {
    const night = await plantNight(t.db, {
      slug: 'ravens',
      lanes: 2,
      drivers: ['Ada', 'Bo'],
      heats: [{ lanes: [1, 2] }],
    });
    const own = await signedIn(t, 'ravens', 'director');
    const address = night.path('races/r1');
    const race = async () => (await t.db.readClub('ravens', (tx) => selectRaces(tx, 'ravens', 'm1')))[0];
    const opened = formFields((await own.get(`${address}/edit`)).body, `${address}/edit`);
    await night.press('h1', 'arm', t.clock.nowUs());
    const refused = await own.post(`${address}/delete`);
    expect(refused.statusCode).toBe(409);
    expect(refused.body).toContain('was armed already');
    expect((await own.get(`${address}/edit`)).body).not.toContain('Delete this race');

    await night.press('h1', 'start', t.clock.nowUs());
    const late = await own.post(`${address}/edit`, { ...opened, duration: '9:00', name: 'Changed' });
    expect(late.statusCode).toBe(422);
    expect(late.body).toContain('the first heat was started');
    expect(await race()).toMatchObject({ name: 'Open', durationMs: 180_000 });
    const now = formFields((await own.get(`${address}/edit`)).body, `${address}/edit`);
    expect(now).not.toHaveProperty('kind');
    expect((await own.post(`${address}/edit`, { ...now, name: 'Renamed' })).statusCode).toBe(303);
    expect(await race()).toMatchObject({ name: 'Renamed', durationMs: 180_000 });
  });
});

test('a meeting is copied with its races, settings and entries', async () => {
  const id = await open({ name: 'Original' });
  const address = `${club}/meetings/${id}`;
  const night = formFields((await director.get(`${address}/night`)).body, `${address}/night`);
  await director.post(`${address}/night`, { ...night, endRoll: '3' });
  await director.post(`${address}/races/new`, { name: 'R', newClass: 'GT', kind: 'first', firstTo: '7' });
  await director.post(`${address}/races/r1/entries`, { names: 'Pip\nMoss' });
  const fields = formFields((await director.get(`${address}/copy`)).body, `${address}/copy`);
  expect(fields).toMatchObject({ name: 'Original', trackId: 'attic', date: '2027-01-15' });
  const copied = await director.post(`${address}/copy`, { ...fields, date: '2027-02-01' });
  expect(copied.statusCode).toBe(303);
  const copyId = String(copied.headers.location).split('/').at(-1) as string;
  const copy = await meeting(copyId);
  const original = await meeting(id);
  expect(copy).toMatchObject({ name: 'Original', date: '2027-02-01', trackSettings: original.trackSettings });
  expect(copy.trackSettings.endRollUs).toBe(3_000_000);
  expect(copy.publicCode).not.toBe(original.publicCode);
  expect(copy.joinCode).not.toBe(original.joinCode);
  const [races, entries] = await t.db.readClub('owls', async (tx) => [
    await selectRaces(tx, 'owls', copyId),
    await selectEntries(tx, 'owls', copyId),
  ]);
  expect(races).toMatchObject([{ id: 'r1', name: 'R', className: 'GT', firstTo: 7 }]);
  expect(entries.map((entry) => entry.nickname)).toEqual(['Pip', 'Moss']);
});

test('what another club has is not found', async () => {
  const { director: other } = await emptyClub(t, 'jays');
  const id = await open();
  await other.get('/c/jays/enter');
  for (const path of ['', '/edit', '/night', '/copy', '/programme', '/races/new']) {
    expect((await other.get(`/c/jays/meetings/${id}${path}`)).statusCode, path).toBe(404);
  }
  expect((await other.post(`/c/jays/meetings/${id}/archive`)).statusCode).toBe(404);
  expect((await meeting(id)).archivedAt).toBeNull();
});
