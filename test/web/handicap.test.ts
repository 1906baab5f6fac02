import { afterAll, beforeAll, expect, test } from 'vitest';
import { buildApp } from '../../server/app.ts';
import { readConfig } from '../../server/config.ts';
import { deleteHeatHandicaps, selectHeatHandicaps } from '../../server/handicap/store.ts';
import { updateMeeting } from '../../server/meetings/store.ts';
import { selectSlowGuard } from '../../server/pace/pace-store.ts';
import { selectHeatPlans } from '../../server/rotation/store.ts';
import { bumpPlan } from '../../server/tracks/store.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { nightWithPast } from '../helpers/handicap-night.ts';
import { expectDirectorOnly } from '../helpers/own-pages.ts';
import { type NightPlan, type PlantedNight, plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const line = {
  lanes: 3,
  drivers: ['Ada', 'Bo', 'Cy'],
  heats: [{ lanes: [1, 2, 3] }, { lanes: [2, 3, 1] }, { lanes: [3, 1, 2] }],
  race: { durationMs: 60_000, countdownMs: 3000 },
} as const;

async function plant(plan: Partial<NightPlan> = {}, past = true) {
  clubs += 1;
  const whole = { ...line, slug: `handicap${clubs}`, ...plan };
  const night = past ? await nightWithPast(t, whole) : await plantNight(t.db, whole);
  const today = new Date(t.clock.nowUs() / 1000).toISOString().slice(0, 10);
  await t.db.withClub(night.clubId, (tx) => updateMeeting(tx, night.clubId, night.meetingId, { date: today }));
  const director = await signedIn(t, night.clubId, 'director');
  const page = night.path('races/r1/handicap');
  await director.get(page);
  return { night, director, page };
}

const even = { mode: 'delay', dial: '100', cap: '', round: '0.1' };
const heatsOf = (night: PlantedNight) =>
  t.db.readClub(night.clubId, (tx) => selectHeatPlans(tx, night.clubId, night.meetingId));
const toldOf = (night: PlantedNight) =>
  t.db.readClub(night.clubId, (tx) => selectHeatHandicaps(tx, night.clubId, night.meetingId));

/** Delays of each heat by entry, in milliseconds. */
async function delays(night: PlantedNight): Promise<Record<string, number>[]> {
  return (await heatsOf(night)).map(({ lanes }) =>
    Object.fromEntries(lanes.map(({ entryId, delayMs }) => [entryId, delayMs])),
  );
}

async function settled(post: Promise<{ statusCode: number }>): Promise<void> {
  const { statusCode } = await post;
  expect(statusCode).toBeLessThan(400);
  // What is begun after the answer was sent begins in a moment.
  await new Promise((resolve) => setTimeout(resolve, 20));
  await t.app.handicaps.settled();
}

test('delays follow from the laps of earlier nights: the slowest starts at once, the quickest last', async () => {
  const { night, director, page } = await plant();
  await settled(director.post(page, even));
  for (const heat of await delays(night)) {
    expect(heat.e3).toBe(0);
    expect(heat.e2).toBeGreaterThan(0);
    expect(heat.e1).toBeGreaterThan(heat.e2 as number);
    // Equal distance in 60 s: 60 (1 - 5 / 5.5) = 5.5 s; lanes and what is not certain move it a little.
    expect(Math.abs((heat.e1 as number) - 5450)).toBeLessThan(1500);
  }
  for (const { lanes } of (await toldOf(night)).values()) {
    const after = lanes.map((lane) => lane.after as number);
    expect(Math.max(...after) - Math.min(...after)).toBeLessThan(0.1);
    expect(lanes.map((lane) => lane.before as number).reduce((a, b) => a + b)).toBeCloseTo(1, 6);
  }
  const { body } = await director.get(page);
  expect(body).toMatch(/starts \d+(\.\d)? s later/);
  expect(body).not.toMatch(/NaN|Infinity|undefined/);
});

const s = 1_000_000;

/** Arms, starts, drives and ends a heat: seconds of each lane's laps; not confirmed. */
async function drive(
  night: PlantedNight,
  director: Visitor,
  heat: string,
  lapsS: readonly number[],
  delaysMs: readonly number[] = [],
): Promise<void> {
  t.clock.advance(10 * s);
  const press = (kind: string, seen: number) =>
    settled(director.post(night.path(`heats/${heat}/press`), { kind, seen_n: String(seen), called_ago: '0' }));
  await press('arm', 0);
  t.clock.advance(s);
  await press('start', 1);
  const startUs = t.clock.nowUs() + 3 * s;
  const crossings = lapsS.flatMap((lapS, i) => {
    const fromUs = startUs + 1000 * (delaysMs[i] ?? 0) + 300_000;
    const count = Math.floor((startUs + 60 * s - fromUs) / (lapS * s));
    return Array.from({ length: count + 1 }, (_, n) => [i + 1, fromUs + Math.round(n * lapS * s)] as const);
  });
  await night.cross(...crossings);
  t.clock.advance(70 * s);
}

const confirm = (night: PlantedNight, director: Visitor, heat: string) =>
  settled(director.post(night.path(`heats/${heat}/press`), { kind: 'confirm', seen_n: '2', called_ago: '0' }));

test('a confirmed heat changes the next delays at once, a correction changes them back, a started heat keeps its own', async () => {
  const { night, director, page } = await plant();
  await settled(director.post(page, even));
  const before = await delays(night);
  // Cy, who was the slowest, is as quick as Ada tonight.
  await drive(night, director, 'h1', [5, 5.25, 5]);
  expect(await delays(night)).toEqual(before);
  await confirm(night, director, 'h1');
  const after = await delays(night);
  expect(after[0]).toEqual(before[0]);
  for (const heat of [1, 2]) expect(after[heat]?.e1).toBeLessThan((before[heat]?.e1 as number) - 300);
  // The heat did not count after all.
  await settled(director.post(night.path('heats/h1/void'), { why: 'wrong lane' }));
  expect((await delays(night)).slice(1)).toEqual(before.slice(1));
  const told = await toldOf(night);
  expect([...told.values()].every(({ lanes }) => lanes.every(({ before }) => before !== null))).toBe(true);
});

test('an armed heat keeps what it has', async () => {
  const { night, director, page } = await plant();
  await settled(director.post(page, even));
  const before = await delays(night);
  await settled(director.post(night.path('heats/h1/press'), { kind: 'arm', seen_n: '0', called_ago: '0' }));
  await settled(director.post(page, { ...even, dial: '50' }));
  const after = await delays(night);
  expect(after[0]).toEqual(before[0]);
  expect(after[1]?.e1).toBeLessThan(before[1]?.e1 as number);
  await settled(director.post(page, { ...even, mode: 'off' }));
  expect(await delays(night)).toEqual([before[0], { e1: 0, e2: 0, e3: 0 }, { e1: 0, e2: 0, e3: 0 }]);
});

test('what is laid down by hand stays, also in what is drawn later; the page says what it does', async () => {
  const { night, director, page } = await plant();
  await settled(director.post(page, { ...even, 'byHand-0': 'on', 'amount-0': '2,5', 'amount-1': 'not asked' }));
  for (const heat of await delays(night)) expect(heat.e1).toBe(2500);
  expect((await delays(night))[0]?.e2).toBeGreaterThan(0);
  const { body } = await director.get(page);
  expect(body).toContain('value="2.5"');
  expect(body).toMatch(/By hand\. Worked out would be: starts [\d.]+ s later, chance \d+ %\./);
  const told = [...(await toldOf(night)).values()]
    .flatMap(({ lanes }) => lanes)
    .filter(({ entryId }) => entryId === 'e1');
  for (const { after, afterProposed } of told) expect(after as number).toBeGreaterThan((afterProposed as number) + 0.1);
  const draw = { runsPerLane: '2', laneOrder: '1 2 3', order: 'signUp', marshals: '0', search: '0' };
  await settled(director.post(night.path('races/r1/rotation/draw'), draw));
  const drawn = await delays(night);
  expect(drawn.length).toBeGreaterThan(3);
  for (const heat of drawn) {
    expect(heat.e1).toBe(2500);
    expect(heat.e2).toBeGreaterThan(0);
  }
});

test('a wrong number comes back with a sentence and changes nothing', async () => {
  const { night, director, page } = await plant({}, false);
  for (const wrong of ['-1', 'soon', '601', '1e3']) {
    const answer = await director.post(page, { ...even, 'byHand-0': 'on', 'amount-0': wrong });
    expect(answer.statusCode, wrong).toBe(422);
    expect(answer.body).toContain('A number from 0 to 600.');
    expect(answer.body).toContain(`value="${wrong}"`);
  }
  for (const wrong of ['101', '', '-5']) {
    expect((await director.post(page, { ...even, dial: wrong })).statusCode, wrong).toBe(422);
  }
  expect((await director.post(page, { mode: 'sideways' })).statusCode).toBe(422);
  expect((await delays(night)).flatMap((heat) => Object.values(heat)).every((ms) => ms === 0)).toBe(true);
});

test('credited laps are rulings of the start: they count, can be undone, and the log of the night reads back', async () => {
  const { night, director, page } = await plant();
  await settled(director.post(page, { ...even, mode: 'credit' }));
  const told = (await toldOf(night)).get('h1');
  const credit = (entry: string) => told?.lanes.find(({ entryId }) => entryId === entry)?.credit as number;
  expect(credit('e1')).toBe(0);
  // 60 / 5 - 60 / 5.5 = 1.09 laps.
  expect(Math.abs(credit('e3') - 109)).toBeLessThan(40);
  expect(credit('e3') % 10).toBe(0);
  expect((await delays(night)).flatMap((heat) => Object.values(heat)).every((ms) => ms === 0)).toBe(true);

  await drive(night, director, 'h1', [5, 5.25, 5.5]);
  const results = async (from = night.path('results.json'), who = director) =>
    JSON.parse((await who.get(from)).body)[0];
  const scores = async () => Object.fromEntries((await results()).rows.map((row: Row) => [row.entry, row.score]));
  const first = await scores();
  expect(first).toEqual({ e1: 1100, e2: 1100 + credit('e2'), e3: 1000 + credit('e3') });
  const log = (await director.get(night.path('log.jsonl'))).body;
  const rulings = log
    .split('\n')
    .filter((line) => line.includes('"adjust"'))
    .map((line) => JSON.parse(line));
  expect(rulings.map(({ target, value, why }) => [target, value, why])).toEqual([
    [{ lane: 2 }, credit('e2'), 'handicap'],
    [{ lane: 3 }, credit('e3'), 'handicap'],
  ]);
  await confirm(night, director, 'h1');

  // Another club takes the log in and has the same results.
  clubs += 1;
  const copy = await plantNight(t.db, { ...line, slug: `handicap${clubs}` });
  const other = await signedIn(t, copy.clubId, 'director');
  await other.get(`/c/${copy.slug}/import`);
  const bytes = (await director.get(night.path('log.jsonl'))).rawPayload;
  const taken = await other.upload(`/c/${copy.slug}/import`, 'log', { name: 'log.jsonl', bytes });
  expect(taken.statusCode, taken.body).toBe(303);
  const address = String(taken.headers.location).replace(/\/results\?.*$/, '/results.json');
  expect((await other.get(address)).body).toBe((await director.get(night.path('results.json'))).body);

  await settled(director.post(night.path('heats/h1/rule'), { kind: 'undo', n: String(rulings[1].n) }));
  expect((await scores()).e3).toBe(1000);

  // Run again, the heat has credits of its own.
  await settled(director.post(night.path('heats/h1/rerun'), { why: 'once more' }));
  const again = (await heatsOf(night)).find(({ reruns }) => reruns === 'h1')?.id as string;
  await drive(night, director, again, [5, 5.25, 5.5]);
  const own = (await toldOf(night)).get(again)?.lanes.find(({ entryId }) => entryId === 'e3')?.credit as number;
  expect(own).toBeGreaterThan(0);
  expect((await scores()).e3).toBe(1000 + own);
});

type Row = { entry: string; score: number | null };

test('in a race over laps a credit is time taken off', async () => {
  const { night, director, page } = await plant({
    race: { format: 'laps', durationMs: null, laps: 8, countdownMs: 3000 },
  });
  await settled(director.post(page, { ...even, mode: 'credit' }));
  const told = (await toldOf(night)).get('h1');
  const credit = (entry: string) => told?.lanes.find(({ entryId }) => entryId === entry)?.credit as number;
  // 8 laps of 5.5 s and of 5 s: 4 s apart.
  expect(Math.abs(credit('e3') - 4000)).toBeLessThan(1500);
  await drive(night, director, 'h1', [5, 5.25, 5.5]);
  const [race] = JSON.parse((await director.get(night.path('results.json'))).body);
  const score = (entry: string) => race.rows.find((row: Row) => row.entry === entry).score;
  expect([score('e1'), score('e2'), score('e3')]).toEqual([40_300, 42_300 - credit('e2'), 44_300 - credit('e3')]);
});

test('chances are told to directors alone, what drivers are given to everybody', async () => {
  const { night, director, page } = await plant();
  const timekeeper = await signedIn(t, night.clubId, 'timekeeper');
  await settled(director.post(page, even));
  const control = (await director.get(night.path('control'))).body;
  expect(control).toMatch(/starts [\d.]+ s later; chance (over )?\d+ %, now \d+ %/);
  const seen = [
    (await timekeeper.get(night.path('control'))).body,
    (await new Visitor(t.app).get(night.path('wall'))).body,
    (await new Visitor(t.app).get(night.path('drivers/e1'))).body,
  ];
  for (const body of seen) {
    expect(body).toMatch(/starts [\d.]+ s later|\+[\d.]+ s/);
    expect(body).not.toMatch(/chance/i);
    expect(body).not.toMatch(/\d %/);
  }
  // In the countdown each lane has its own.
  for (const [kind, seen] of [
    ['arm', 0],
    ['start', 1],
  ] as const) {
    await settled(director.post(night.path('heats/h1/press'), { kind, seen_n: String(seen), called_ago: '0' }));
  }
  t.clock.advance(3 * s);
  const wall = (await new Visitor(t.app).get(night.path('wall'))).body;
  expect(wall.match(/pack-starts/g)).toHaveLength(2);
  expect(wall).not.toMatch(/NaN/);
});

test('without any history nobody gets anything, and the page says what is missing', async () => {
  const { night, director, page } = await plant({}, false);
  await settled(director.post(page, even));
  expect((await delays(night)).flatMap((heat) => Object.values(heat)).every((ms) => ms === 0)).toBe(true);
  const { body } = await director.get(page);
  expect(body).toContain('The club has no laps of earlier nights yet.');
  expect(body).toContain('Raced before? Nobody said.');
  const control = (await director.get(night.path('control'))).body;
  expect(control).toContain('too little is known');
  expect(body + control).not.toMatch(/NaN|Infinity|undefined/);
  // After one heat of everybody there is something to go by.
  await drive(night, director, 'h1', [5, 5.25, 5.5]);
  await confirm(night, director, 'h1');
  const [, next] = await delays(night);
  expect(next?.e3).toBe(0);
  expect(next?.e1).toBeGreaterThan(2000);
  expect((await director.get(page)).body).toContain('Provisional');
});

test('a newcomer among drivers with a past is provisional, and asked about', async () => {
  const { night, director, page } = await plant({
    lanes: 3,
    drivers: ['Ada', 'Bo', 'Cy', 'Dee', 'Eve'],
    heats: [{ lanes: [1, 2, 5] }],
  });
  await settled(director.post(page, even));
  const told = (await toldOf(night)).get('h1');
  expect(told?.lanes.map(({ provisional }) => provisional)).toEqual([false, false, true]);
  expect((await director.get(page)).body).toContain('Raced before? Nobody said.');
});

test('two processes over one database say the same, whoever works it out', async () => {
  const { night, director, page } = await plant();
  const read = readConfig({ LOG_LEVEL: 'silent' });
  if ('problems' in read) throw new Error(read.problems.join('\n'));
  const other = await buildApp({ config: read.config, db: t.db, clock: t.clock });
  await other.ready();
  try {
    const answer = director.post(page, even);
    other.handicaps.look(night.clubId, night.meetingId);
    await settled(answer);
    for (let i = 0; i < 3; i += 1) {
      other.handicaps.look(night.clubId, night.meetingId);
      t.app.handicaps.look(night.clubId, night.meetingId);
    }
    await Promise.all([other.handicaps.settled(), t.app.handicaps.settled()]);
    const first = await toldOf(night);
    const lanes = await delays(night);
    // What is there is worked out anew by the other process.
    await t.db.withClub(night.clubId, async (tx) => {
      await deleteHeatHandicaps(tx, night.clubId, night.meetingId, ['h1', 'h2', 'h3']);
      await bumpPlan(tx, night.clubId, night.trackId);
    });
    other.handicaps.look(night.clubId, night.meetingId);
    await other.handicaps.settled();
    expect(await toldOf(night)).toEqual(first);
    expect(first.size).toBe(3);
    expect(await delays(night)).toEqual(lanes);
  } finally {
    await other.close();
  }
});

test('a result that nobody expected is pointed out to directors alone, and accuses nobody', async () => {
  const { night, director, page } = await plant();
  await settled(director.post(page, even));
  const [first] = await delays(night);
  const given = [first?.e1, first?.e2, first?.e3] as number[];
  await drive(night, director, 'h1', [5, 5.25, 4], given);
  const words = 'won by far more than was to be expected';
  expect((await director.get(night.path('control'))).body).toContain(words);
  expect((await director.get(night.path('results'))).body).toContain('Won by far more');
  const timekeeper = await signedIn(t, night.clubId, 'timekeeper');
  expect((await timekeeper.get(night.path('control'))).body).not.toContain(words);
  expect((await new Visitor(t.app).get(night.path('results'))).body).not.toContain('expected');

  const usual = await plant();
  await settled(usual.director.post(usual.page, even));
  const [own] = await delays(usual.night);
  await drive(usual.night, usual.director, 'h1', [5, 5.25, 5.5], [own?.e1, own?.e2, own?.e3] as number[]);
  expect((await usual.director.get(usual.night.path('control'))).body).not.toContain(words);
});

test('a director forgets low marks: the page of the driver says so, heats to come are looked at', async () => {
  const { night, director, page } = await plant();
  await settled(director.post(page, even));
  const edit = `/c/${night.slug}/drivers/d1/edit`;
  expect((await director.get(edit)).body).not.toContain('are forgotten.');
  await settled(director.post(`/c/${night.slug}/drivers/d1/pace-reset`));
  expect((await director.get(edit)).body).toContain('are forgotten.');
  expect((await director.post(`/c/${night.slug}/drivers/nobody/pace-reset`)).statusCode).toBe(404);
});

test('how far handicaps follow slowness is the club’s to say, and shown as it was said', async () => {
  const { night, director } = await plant();
  const address = `/c/${night.slug}/pace/slow`;
  expect((await director.get(address)).body).toContain('value="0.4"');
  const kept = () => t.db.readClub(night.clubId, (tx) => selectSlowGuard(tx, night.clubId));
  const before = await kept();
  for (const wrong of [{ margin: '-1' }, { soft: 'much' }, { soft: '2', hard: '1' }, { hard: '11' }]) {
    const answer = await director.post(address, { on: 'on', margin: '0.4', soft: '0.6', hard: '1.2', ...wrong });
    expect(answer.statusCode).toBe(422);
  }
  expect(await kept()).toEqual(before);
  expect((await director.post(address, { margin: '0.5', soft: '0.7', hard: '1.35' })).statusCode).toBe(303);
  expect(await kept()).toEqual({ on: false, margin: 0.005, soft: 0.007, hard: 0.0135 });
  expect((await director.get(address)).body).toContain('value="1.35"');
});

test('only the director may', async () => {
  const { night, page } = await plant({}, false);
  await expectDirectorOnly(t, night.clubId, { get: [page], post: [page, `/c/${night.slug}/drivers/d1/pace-reset`] });
});
