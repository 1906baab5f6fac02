import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { TrackSettings } from '../../db/schema/index.ts';
import { insertMeeting, selectOptionalMeeting } from '../../server/meetings/store.ts';
import { settingsOf } from '../../server/tracks/settings.ts';
import { selectLanes, selectOptionalTrack, selectTracks } from '../../server/tracks/store.ts';
import { startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { emptyClub, expectDirectorOnly, formFields, hostileNames, inHtml } from '../helpers/own-pages.ts';

let t: TestApp;
let director: Visitor;
const list = '/c/owls/tracks';
const fresh = {
  name: 'Attic ring',
  startMode: 'ahead',
  power: 'relay',
  holdRoll: '2',
  endRoll: '2',
  shownHoldRoll: '2',
  shownEndRoll: '2',
  lanes: '2',
};
beforeAll(async () => {
  t = await startTestApp();
  director = (await emptyClub(t)).director;
});
afterAll(() => t.close());

const stored = () => t.db.readClub('owls', (tx) => selectTracks(tx, 'owls', { imported: true }));
const trackOf = async (id: string) => {
  const track = await t.db.readClub('owls', (tx) => selectOptionalTrack(tx, 'owls', id));
  if (!track) throw new Error(`no track ${id}`);
  return track;
};
const lanesOf = (id: string) => t.db.readClub('owls', (tx) => selectLanes(tx, 'owls', id));

/** Makes a track through its form and gives its id. */
async function newTrack(fields: Partial<typeof fresh> = {}): Promise<string> {
  await director.get(`${list}/new`);
  const answer = await director.post(`${list}/new`, { ...fresh, ...fields });
  expect(answer.statusCode, answer.body.slice(0, 3000)).toBe(303);
  return /tracks\/(\w+)\?done=created$/.exec(String(answer.headers.location))?.[1] ?? '';
}

const formOf = async (id: string) => formFields((await director.get(`${list}/${id}`)).body, `${list}/${id}`);

async function meetingOn(trackId: string, id: string, name = `Night ${id}`): Promise<void> {
  const track = await trackOf(trackId);
  const lanes = await lanesOf(trackId);
  await t.db.withClub('owls', async (tx) => {
    await insertMeeting(tx, {
      clubId: 'owls',
      id,
      trackId,
      name,
      date: '2026-11-25',
      zone: 'UTC',
      trackName: track.name,
      trackSettings: settingsOf(track, lanes),
      publicCode: `public-${id}`,
    });
    await tx.execute(sql`insert into car_class (club_id, id, name) values ('owls', 'k1', 'GT') on conflict do nothing`);
    await tx.execute(sql`insert into driver (club_id, id, nickname, nickname_key)
      values ('owls', 'd1', 'Moth', 'moth') on conflict do nothing`);
    await tx.execute(sql`insert into race
      (club_id, meeting_id, id, ordinal, name, class_id, format, missing, standing_fastest)
      values ('owls', ${id}, 'r1', 1, 'Sprint', 'k1', 'time', 'zero', false)`);
    await tx.execute(sql`insert into entry (club_id, meeting_id, id, race_id, ordinal, driver_id)
      values ('owls', ${id}, 'e1', 'r1', 1, 'd1')`);
  });
}

const heatOn = (meetingId: string, lane: number) =>
  t.db.withClub('owls', async (tx) => {
    await tx.execute(sql`insert into heat (club_id, meeting_id, id, race_id, ordinal)
      values ('owls', ${meetingId}, 'h1', 'r1', 1)`);
    await tx.execute(sql`insert into heat_lane (club_id, meeting_id, heat_id, lane, entry_id)
      values ('owls', ${meetingId}, 'h1', ${lane}, 'e1')`);
  });
const factOn = (trackId: string, meetingId: string, n: number, kind: string) =>
  t.db.withClub('owls', (tx) =>
    tx.execute(sql`insert into heat_event (club_id, meeting_id, heat_id, n, track_id, fact_no, kind, at_us, by)
      values ('owls', ${meetingId}, 'h1', ${n}, ${trackId}, ${n}, ${kind}, ${n}, 'director')`),
  );
const snapshotOf = async (id: string): Promise<{ name: string; settings: TrackSettings }> => {
  const meeting = await t.db.readClub('owls', (tx) => selectOptionalMeeting(tx, 'owls', id));
  if (!meeting) throw new Error(`no meeting ${id}`);
  return { name: meeting.trackName, settings: meeting.trackSettings };
};

test('only the director opens or sends the forms', async () => {
  await expectDirectorOnly(t, 'owls', {
    get: [list, `${list}/new`, `${list}/nothing`],
    post: [`${list}/new`, `${list}/nothing`, `${list}/nothing/archive`, `${list}/nothing/restore`],
  });
  expect(await stored()).toEqual([]);
});

test('a new track has as many lanes as asked for, each with its own look', async () => {
  const id = await newTrack({ lanes: '4', startMode: 'carry' });
  expect(await trackOf(id)).toMatchObject({ startMode: 'carry', holdRollUs: 2_000_000, endRollUs: 2_000_000 });
  const lanes = await lanesOf(id);
  expect(lanes.map((lane) => lane.number)).toEqual([1, 2, 3, 4]);
  expect(new Set(lanes.map((lane) => lane.colour + lane.pattern)).size).toBe(4);
  const page = await director.get(`${list}/${id}?done=created`);
  expect(page.body).toContain('Its lanes have usual values');
  expect(page.body).toContain('Lane 4, vermilion');
  expect((await director.get(list)).body).toContain('Attic ring');
});

test('the choice of what cuts the power fills in its usual roll times; typed ones stay', async () => {
  const rolls = async (id: string) => {
    const { holdRollUs, endRollUs } = await trackOf(id);
    return [holdRollUs, endRollUs];
  };
  expect(await rolls(await newTrack({ power: 'hand' }))).toEqual([5_000_000, 2_000_000]);
  expect(await rolls(await newTrack({ power: 'nobody' }))).toEqual([10_000_000, 0]);
  expect(await rolls(await newTrack({ power: 'hand', holdRoll: '4,25' }))).toEqual([4_250_000, 2_000_000]);
  const own = await newTrack({ power: 'own', holdRoll: '0.5', endRoll: '1' });
  expect(await rolls(own)).toEqual([500_000, 1_000_000]);
  const form = await formOf(own);
  expect(form).toMatchObject({ power: 'own', holdRoll: '0.5', endRoll: '1' });
  await director.post(`${list}/${own}`, { ...form, power: 'relay' });
  expect(await rolls(own)).toEqual([2_000_000, 2_000_000]);
});

test('a form that is sent back as it came changes nothing', async () => {
  const id = await newTrack({ lanes: '3' });
  const before = [await trackOf(id), await lanesOf(id)];
  const form = await formOf(id);
  expect(Object.keys(form)).toHaveLength(9 + 3 * 4);
  expect((await director.post(`${list}/${id}`, form)).statusCode).toBe(303);
  const after = [{ ...(await trackOf(id)), planNo: 0 }, await lanesOf(id)];
  expect(after).toEqual(before);
});

test('lanes are changed: lengths in metres and shortest laps in seconds are kept exactly', async () => {
  const id = await newTrack();
  const form = { ...(await formOf(id)), 'colour-2': '#D0021B', 'pattern-2': 'checker' };
  const answer = await director.post(`${list}/${id}`, { ...form, 'length-2': '12.345', 'minLap-2': '2,999999' });
  expect(answer.statusCode).toBe(303);
  expect((await lanesOf(id))[1]).toMatchObject({
    number: 2,
    colour: '#d0021b',
    pattern: 'checker',
    lengthMm: 12_345,
    minLapUs: 2_999_999,
  });
  const page = await director.get(String(answer.headers.location));
  expect(page.body).toContain('Lane 2, red');
  expect(page.body).toContain('Saved.');
  expect(await formOf(id)).toMatchObject({ 'length-2': '12.345', 'minLap-2': '2.999999' });
});

test('lanes are added with usual values and taken away from the top', async () => {
  const id = await newTrack();
  await director.post(`${list}/${id}`, { ...(await formOf(id)), lanes: '16' });
  expect(await lanesOf(id)).toHaveLength(16);
  await director.post(`${list}/${id}`, { ...(await formOf(id)), lanes: '1' });
  expect((await lanesOf(id)).map((lane) => lane.number)).toEqual([1]);
});

test('wrong input changes nothing, keeps what was typed and says what would be right', async () => {
  const id = await newTrack();
  const before = [await trackOf(id), await lanesOf(id)];
  const tracks = await stored();
  const form = await formOf(id);
  const wrong: [Record<string, string>, string][] = [
    [{ lanes: '0' }, 'A number from 1 to 16.'],
    [{ lanes: '17' }, 'A number from 1 to 16.'],
    [{ lanes: 'four' }, 'A number from 1 to 16.'],
    [{ startMode: 'sideways' }, 'Choose one of these.'],
    [{ power: 'magic' }, 'Choose one of these.'],
    [{ holdRoll: '61' }, 'A number from 0 to 60.'],
    [{ endRoll: '-1' }, 'A number from 0 to 60.'],
    [{ 'colour-1': 'red' }, 'A colour such as #0072b2.'],
    [{ 'pattern-2': 'zigzag' }, 'Choose one of these.'],
    [{ 'length-1': '0' }, 'A number from 0.1 to 1000.'],
    [{ 'length-1': '1e3' }, 'A number from 0.1 to 1000.'],
    [{ 'minLap-2': '' }, 'A number from 0 to 600.'],
    ...hostileNames.refused.map((name): [Record<string, string>, string] => [{ name }, 'field-error']),
  ];
  for (const [change, sentence] of wrong) {
    const answer = await director.post(`${list}/${id}`, { ...form, 'length-2': '17.5', ...change });
    expect(answer.statusCode, JSON.stringify(change)).toBe(422);
    expect(answer.body, JSON.stringify(change)).toContain(sentence);
    expect(answer.body).toContain('value="17.5"');
    if (Object.keys(change).some((field) => field.includes('-'))) continue;
    const made = await director.post(`${list}/new`, { ...fresh, ...change });
    expect(made.statusCode, JSON.stringify(change)).toBe(422);
    expect(made.body).toContain(sentence);
  }
  expect(await stored()).toHaveLength(tracks.length);
  expect([await trackOf(id), await lanesOf(id)]).toEqual(before);
});

test('hostile names stand on the pages as text', async () => {
  for (const name of hostileNames.allowed) {
    const id = await newTrack({ name });
    for (const url of [list, `${list}/${id}`]) {
      const { body } = await director.get(url);
      expect(body).toContain(inHtml(name));
      expect(body).not.toContain('<img');
    }
  }
});

test('lanes that look alike are pointed out, not refused', async () => {
  const id = await newTrack({ lanes: '3' });
  expect((await director.get(`${list}/${id}`)).body).not.toContain('look much alike');
  const form = await formOf(id);
  const answer = await director.post(`${list}/${id}`, { ...form, 'colour-2': '#ff0000', 'colour-3': '#ee1010' });
  expect(answer.statusCode).toBe(303);
  expect((await director.get(`${list}/${id}`)).body).toContain('Lanes 2 and 3: these look much alike');
});

test('a meeting that has not begun follows the track; one that has begun keeps what it had', async () => {
  const id = await newTrack();
  await meetingOn(id, 'm1');
  await meetingOn(id, 'm2');
  await heatOn('m2', 1);
  await factOn(id, 'm2', 1, 'arm');
  await meetingOn(id, 'm3');
  await heatOn('m3', 1);
  await factOn(id, 'm3', 2, 'arm');
  await t.db.withClub('owls', (tx) =>
    tx.execute(sql`insert into heat_event (club_id, meeting_id, heat_id, n, track_id, fact_no, kind, at_us, by)
      values ('owls', 'm3', 'h1', 1, ${id}, 3, 'start', 5, 'director')`),
  );
  const before = await snapshotOf('m3');
  const rung: string[] = [];
  const stop = await t.db.listen(
    'lanewise_track',
    (word) => rung.push(word),
    () => {},
  );
  const { planNo } = await trackOf(id);
  const form = { ...(await formOf(id)), name: 'Cellar ring', startMode: 'behind', lanes: '3', 'minLap-1': '4' };
  expect((await director.post(`${list}/${id}`, form)).statusCode).toBe(303);
  for (const meeting of ['m1', 'm2']) {
    const { name, settings } = await snapshotOf(meeting);
    expect(name).toBe('Cellar ring');
    expect(settings).toEqual(settingsOf(await trackOf(id), await lanesOf(id)));
    expect(settings).toMatchObject({ startMode: 'behind' });
    expect(settings.lanes.map((lane) => lane.minLapUs)).toEqual([4_000_000, 2_000_000, 2_000_000]);
  }
  expect(await snapshotOf('m3')).toEqual(before);
  expect((await trackOf(id)).planNo).toBeGreaterThan(planNo);
  await expect.poll(() => rung).toContain(`owls/${id}`);
  await stop();
});

test('a lane that a heat still needs cannot be taken away', async () => {
  const id = await newTrack({ lanes: '3' });
  await meetingOn(id, 'm9', 'Friday <cup>');
  await heatOn('m9', 3);
  const before = [await trackOf(id), await lanesOf(id), await snapshotOf('m9')];
  const form = { ...(await formOf(id)), lanes: '2', name: 'Other' };
  const refused = await director.post(`${list}/${id}`, form);
  expect(refused.statusCode).toBe(422);
  expect(refused.body).toContain('Lane 3 is needed by a heat of “Friday &lt;cup>”');
  expect([await trackOf(id), await lanesOf(id), await snapshotOf('m9')]).toEqual(before);
  await factOn(id, 'm9', 1, 'start');
  await factOn(id, 'm9', 2, 'confirm');
  expect((await director.post(`${list}/${id}`, form)).statusCode).toBe(303);
  expect(await lanesOf(id)).toHaveLength(2);
});

test('laps that were counted suggest a shortest lap', async () => {
  const id = await newTrack();
  await meetingOn(id, 'm10');
  await heatOn('m10', 1);
  await t.db.withClub('owls', (tx) =>
    tx.execute(sql`insert into lap (club_id, meeting_id, heat_id, lane, n, entry_id, driver_id, duration_us, flags)
      values ('owls', 'm10', 'h1', 1, 1, 'e1', 'd1', 5000000, '{}'), ('owls', 'm10', 'h1', 1, 2, 'e1', 'd1', 1000000, '{ruled}')`),
  );
  expect((await director.get(`${list}/${id}`)).body).toContain('Best clean lap so far 5.000 s; 0.7 of it is 3.5 s');
});

test('an archived track is out of the way and comes back; an imported one is not changed here', async () => {
  const id = await newTrack({ name: 'Old shed' });
  await director.post(`${list}/${id}/archive`);
  expect((await trackOf(id)).archivedAt).not.toBeNull();
  expect((await director.get(list)).body).toContain('Archived tracks');
  expect((await director.get(`${list}/${id}`)).body).toContain('This track is archived');
  await director.post(`${list}/${id}/restore`);
  expect((await trackOf(id)).archivedAt).toBeNull();

  await t.db.withClub('owls', (tx) => tx.execute(sql`update track set imported = true where id = ${id}`));
  expect((await director.get(list)).body).not.toContain('Old shed');
  expect((await director.get(`${list}/${id}`)).statusCode).toBe(404);
  expect((await director.post(`${list}/${id}`, { ...fresh, name: 'Mine' })).statusCode).toBe(404);
  expect((await trackOf(id)).name).toBe('Old shed');
});

test('a track of another club is not found', async () => {
  const id = await newTrack();
  const { director: other } = await emptyClub(t, 'rooks');
  expect((await other.get(`/c/rooks/tracks/${id}`)).statusCode).toBe(404);
  expect((await other.post(`/c/rooks/tracks/${id}`, { ...fresh, name: 'Mine' })).statusCode).toBe(404);
  expect((await other.get(`/c/owls/tracks/${id}`)).statusCode).toBe(403);
  expect((await trackOf(id)).name).toBe('Attic ring');
});
