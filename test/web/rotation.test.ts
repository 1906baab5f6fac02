import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { insertRace, markWithdrawn, selectRaces } from '../../server/meetings/store.ts';
import { draw as drawRotation } from '../../server/rotation/draw.ts';
import { drawRequest } from '../../server/rotation/rotation.ts';
import { type HeatPlanRow, selectHeatPlans } from '../../server/rotation/store.ts';
import { selectOptionalTrack } from '../../server/tracks/store.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { expectDirectorOnly } from '../helpers/own-pages.ts';
import { type NightPlan, type PlantedNight, plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const five = ['Ada', 'Bo', 'Cleo', 'Dot', 'Eve'];
type Heats = NightPlan['heats'];

/** A planted night with its director's browser, which has opened the page of the rotation. */
async function plant(drivers: readonly string[], lanes: number, heats: Heats = [], race: NightPlan['race'] = {}) {
  clubs += 1;
  const night = await plantNight(t.db, { slug: `club${clubs}`, lanes, drivers, heats, race });
  const director = await signedIn(t, night.clubId, 'director');
  await director.get(page(night));
  return { night, director };
}

const page = (night: PlantedNight) => night.path('races/r1/rotation');
const plan = async (night: PlantedNight): Promise<HeatPlanRow[]> =>
  (await t.db.readClub(night.clubId, (tx) => selectHeatPlans(tx, night.clubId, 'm1'))).filter(
    (heat) => heat.removedAt === null,
  );
const planNo = async (night: PlantedNight) =>
  (await t.db.readClub(night.clubId, (tx) => selectOptionalTrack(tx, night.clubId, 't1')))?.planNo;
/** Who drives on which lane, heat after heat: `e1 e2` for lanes 1 and 2, `-` for an empty lane. */
const seats = async (night: PlantedNight, lanes: number) =>
  (await plan(night)).map((heat) =>
    Array.from({ length: lanes }, (_, l) => heat.lanes.find((one) => one.lane === l + 1)?.entryId ?? '-').join(' '),
  );
const draw = (director: Visitor, night: PlantedNight, fields: Record<string, string> = {}) =>
  director.post(`${page(night)}/draw`, {
    runsPerLane: '1',
    marshals: '1',
    laneOrder: '1 3 4 2',
    order: 'signUp',
    search: '0',
    ...fields,
  });
const withdraw = (night: PlantedNight, id: string) =>
  t.db.withClub(night.clubId, (tx) => markWithdrawn(tx, { clubId: night.clubId, meetingId: 'm1', id }, true));

/** How often each entry drives on each lane. */
async function runs(night: PlantedNight): Promise<Record<string, number>> {
  const counts: Record<string, number> = {};
  for (const { lane, entryId } of (await plan(night)).flatMap((heat) => heat.lanes)) {
    counts[`${entryId}/${lane}`] = (counts[`${entryId}/${lane}`] ?? 0) + 1;
  }
  return counts;
}
const everyLaneOnce = (entries: readonly string[], lanes: number) =>
  Object.fromEntries(entries.flatMap((e) => Array.from({ length: lanes }, (_, l) => [`${e}/${l + 1}`, 1])));

test('only the director draws and changes; everybody may see the programme', async () => {
  const { night } = await plant(five, 4, [{ lanes: [1, 2, 3, 4] }]);
  await expectDirectorOnly(t, night.clubId, {
    get: [page(night)],
    post: ['draw', 'step', 'move', 'swap', 'remove', 'add'].map((what) => `${page(night)}/${what}`),
  });
  expect(await plan(night)).toHaveLength(1);
  for (const visitor of [new Visitor(t.app), await signedIn(t, night.clubId, 'driver')]) {
    const programme = await visitor.get(night.path('programme'));
    expect(programme.statusCode).toBe(200);
    expect(programme.body).toContain('Ada');
  }
});

describe('the first draw', () => {
  // The step rotation itself is checked by the tests of its own module; here: what stands in the database is that.
  test('one step at a time is the step rotation over everybody who is here, in the order of sign-up', async () => {
    const { night, director } = await plant(five, 4);
    await withdraw(night, 'e3');
    const before = await planNo(night);
    expect((await draw(director, night, { marshals: '0', method: 'step' })).statusCode).toBe(303);
    const drawn = drawRotation(drawRequest({ drivers: ['e1', 'e2', 'e4', 'e5'], lanes: 4, laneOrder: [1, 3, 4, 2] }));
    expect(await seats(night, 4)).toEqual(drawn.heats.map((row) => row.map((seat) => seat ?? '-').join(' ')));
    expect((await plan(night)).map((heat) => heat.ordinal)).toEqual([1, 2, 3, 4]);
    expect(await planNo(night)).not.toBe(before);
  });

  test('by lot everybody still has every lane once, with a marshal in each heat', async () => {
    const { night, director } = await plant([...five, 'Flo'], 4);
    const orders = new Set<string>();
    for (let i = 0; i < 8; i += 1) {
      expect((await draw(director, night, { order: 'lot' })).statusCode).toBe(303);
      orders.add((await seats(night, 4)).join());
    }
    // One chance in 720^7 that eight lots of six are all the same.
    expect(orders.size).toBeGreaterThan(1);
    expect(await runs(night)).toEqual(everyLaneOnce(['e1', 'e2', 'e3', 'e4', 'e5', 'e6'], 4));
    for (const heat of await plan(night)) {
      expect(heat.marshals).toHaveLength(1);
      expect(heat.lanes.map((lane) => lane.entryId)).not.toContain(heat.marshals[0]);
    }
    const [race] = await t.db.readClub(night.clubId, (tx) => selectRaces(tx, night.clubId, 'm1'));
    expect(race?.marshals).toBe(1);
  });

  test('a lane that is left out of the order stays empty', async () => {
    const { night, director } = await plant(five, 4);
    await draw(director, night, { laneOrder: '4, 1', runsPerLane: '2' });
    const counts = await runs(night);
    expect(Object.keys(counts).every((key) => /\/[14]$/.test(key))).toBe(true);
    expect(Object.values(counts)).toEqual(Array(10).fill(2));
    const again = (await director.get(page(night))).body;
    expect(again).toMatch(/id="lanesOut-2"[^>]* checked/);
    expect(again).not.toMatch(/id="lanesOut-4"[^>]* checked/);
  });

  test('wrong input comes back and draws nothing', async () => {
    const { night, director } = await plant(five, 4, [{ lanes: [1, 2, 3, 4] }]);
    for (const wrong of [
      { laneOrder: '1 2 2' },
      { laneOrder: '5' },
      { laneOrder: 'one' },
      { runsPerLane: '0' },
      { runsPerLane: '21' },
      { marshals: '-1' },
      { order: 'fastest' },
    ]) {
      const answer = await draw(director, night, wrong);
      expect(answer.statusCode, JSON.stringify(wrong)).toBe(422);
      expect(answer.body).toContain('Nothing was changed');
    }
    expect(await seats(night, 4)).toEqual(['e1 e2 e3 e4']);
  });

  test('nobody here, or more heats than the race has for everybody, is said in a sentence', async () => {
    const { night, director } = await plant(['Ada'], 4, [], { heatsPerEntry: 4 });
    const many = await draw(director, night, { runsPerLane: '2' });
    expect(many.statusCode).toBe(422);
    expect(many.body).toContain('would give somebody 8');
    await withdraw(night, 'e1');
    const none = await draw(director, night);
    expect(none.statusCode).toBe(422);
    expect(none.body).toContain('Nobody is here to draw');
    expect(await plan(night)).toEqual([]);
  });
});

describe('drawing again', () => {
  test('before anything ran takes the place of the plan', async () => {
    const { night, director } = await plant(five, 4);
    await draw(director, night);
    const first = await plan(night);
    await director.post(night.path('races/r1/entries'), { names: 'Late Flo' });
    await draw(director, night);
    const second = await plan(night);
    expect(second).toHaveLength(6);
    expect(await runs(night)).toEqual(everyLaneOnce(['e1', 'e2', 'e3', 'e4', 'e5', 'e6'], 4));
    // A screen that still shows an old heat cannot press on another line-up by mistake.
    const old = new Set(first.map((heat) => heat.id));
    expect(second.some((heat) => old.has(heat.id))).toBe(false);
  });

  test('after heats ran keeps them; who came late catches up, who went home is left out', async () => {
    const { night, director } = await plant(five, 4);
    await draw(director, night);
    const [one, two, three] = await plan(night);
    for (const heat of [one, two]) {
      await night.press(heat?.id ?? '', 'arm', t.clock.nowUs());
      await night.press(heat?.id ?? '', 'start', t.clock.nowUs());
    }
    await night.press(three?.id ?? '', 'arm', t.clock.nowUs());
    await director.post(night.path('races/r1/entries'), { names: 'Late Flo' });
    await withdraw(night, 'e5');
    const warned = (await director.get(page(night))).body;
    expect(warned).toContain('What was armed or run stays.');
    expect(warned).toContain('Withdrawn but still in planned heats: Eve.');
    expect(warned).toContain('Not in the rotation: Late Flo.');
    expect((await draw(director, night)).statusCode).toBe(303);
    const after = await plan(night);
    expect(after.slice(0, 3)).toEqual([one, two, three]);
    expect(after.map((heat) => heat.ordinal)).toEqual(after.map((_, i) => i + 1));
    const counts = await runs(night);
    const here = ['e1', 'e2', 'e3', 'e4', 'e6'];
    expect(Object.fromEntries(Object.entries(counts).filter(([key]) => !key.startsWith('e5/')))).toEqual(
      everyLaneOnce(here, 4),
    );
    expect(after.slice(3).flatMap((heat) => heat.lanes.map((lane) => lane.entryId))).not.toContain('e5');
    expect(Object.entries(counts).every(([, times]) => times === 1)).toBe(true);
  });

  test('a void heat is driven again, its rerun stays on the plan', async () => {
    const { night, director } = await plant(['Ada', 'Bo'], 2);
    await draw(director, night, { laneOrder: '1 2' });
    const [one] = await plan(night);
    const id = one?.id ?? '';
    await night.press(id, 'arm', t.clock.nowUs());
    await night.press(id, 'start', t.clock.nowUs());
    await night.rule(id, { kind: 'void', target: {} }, t.clock.nowUs());
    await draw(director, night, { laneOrder: '1 2' });
    const drawn = await plan(night);
    expect(drawn[0]).toEqual(one);
    expect(drawn).toHaveLength(3);
    expect((await director.get(page(night))).body).toContain('void');
    // The void ruling is undone: the heat counts after all, and one run of each is one too many.
    await night.rule(id, { kind: 'undo', target: { n: 3 } }, t.clock.nowUs());
    await draw(director, night, { laneOrder: '1 2' });
    expect(await plan(night)).toHaveLength(2);
  });

  test('when everybody has had every lane there is nothing to draw', async () => {
    const { night, director } = await plant(['Ada'], 1, [{ lanes: [1] }]);
    await night.press('h1', 'arm', t.clock.nowUs());
    await night.press('h1', 'start', t.clock.nowUs());
    const answer = await draw(director, night, { laneOrder: '1' });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain('nothing left to draw');
    expect(await plan(night)).toHaveLength(1);
  });

  test('two directors at once leave one whole rotation', async () => {
    const { night, director } = await plant(five, 4);
    const other = await signedIn(t, night.clubId, 'director');
    await other.get(page(night));
    const answers = await Promise.all([draw(director, night), draw(other, night), draw(director, night)]);
    expect(answers.map((answer) => answer.statusCode)).toEqual([303, 303, 303]);
    expect(await runs(night)).toEqual(everyLaneOnce(['e1', 'e2', 'e3', 'e4', 'e5'], 4));
  });
});

describe('changing by hand', () => {
  const three: Heats = [{ lanes: [1, 2] }, { lanes: [3, 4] }, { lanes: [2, 1], marshals: [5] }];
  const post = (director: Visitor, night: PlantedNight, what: string, fields: Record<string, string>) =>
    director.post(`${page(night)}/${what}`, fields);
  const order = async (night: PlantedNight) => (await plan(night)).map((heat) => heat.id);

  test('heats move up, down and to a place', async () => {
    const { night, director } = await plant(five, 2, three);
    expect((await post(director, night, 'step', { heat: 'h1', by: 'later' })).statusCode).toBe(303);
    expect(await order(night)).toEqual(['h2', 'h1', 'h3']);
    await post(director, night, 'step', { heat: 'h3', by: 'earlier' });
    expect(await order(night)).toEqual(['h2', 'h3', 'h1']);
    await post(director, night, 'move', { heat: 'h1', to: 'h2' });
    expect(await order(night)).toEqual(['h1', 'h2', 'h3']);
    expect((await plan(night)).map((heat) => heat.ordinal)).toEqual([1, 2, 3]);
    const edge = await post(director, night, 'step', { heat: 'h1', by: 'earlier' });
    expect(edge.statusCode).toBe(409);
    expect(edge.body).toContain('Nothing was changed');
    expect((await post(director, night, 'move', { heat: 'h9', to: 'h1' })).statusCode).toBe(409);
    expect((await post(director, night, 'step', { heat: 'h1', by: 'sideways' })).statusCode).toBe(422);
  });

  test('an armed heat stays where and as it is, and the others move around it', async () => {
    const { night, director } = await plant(five, 2, three);
    await night.press('h2', 'arm', t.clock.nowUs());
    for (const [what, fields] of [
      ['step', { heat: 'h2', by: 'later' }],
      ['move', { heat: 'h2', to: 'h3' }],
      ['move', { heat: 'h1', to: 'h2' }],
      ['swap', { first: 'h2/1', second: 'h3/1' }],
    ] as const) {
      const answer = await post(director, night, what, fields);
      expect(answer.statusCode, what).toBe(409);
      expect(answer.body).toContain('was armed meanwhile');
    }
    expect(await seats(night, 2)).toEqual(['e1 e2', 'e3 e4', 'e2 e1']);
    await post(director, night, 'step', { heat: 'h3', by: 'earlier' });
    expect(await order(night)).toEqual(['h3', 'h2', 'h1']);
  });

  test('two drivers swap, and a start delay goes with its driver', async () => {
    const { night, director } = await plant(five, 2, [{ lanes: [1, 2], delaysMs: [0, 4000] }, { lanes: [3, 4] }]);
    expect((await post(director, night, 'swap', { first: 'h1/2', second: 'h2/1' })).statusCode).toBe(303);
    expect(await seats(night, 2)).toEqual(['e1 e3', 'e2 e4']);
    expect((await plan(night)).map((heat) => heat.lanes.map((lane) => lane.delayMs))).toEqual([
      [0, 0],
      [4000, 0],
    ]);
  });

  test('what a change does to the fairness is said', async () => {
    const { night, director } = await plant(['Ada', 'Bo'], 2, [{ lanes: [1, 2] }, { lanes: [2, 1] }]);
    expect((await director.get(page(night))).body).toContain('Everybody runs every lane equally often.');
    await post(director, night, 'swap', { first: 'h1/1', second: 'h1/2' });
    expect((await director.get(page(night))).body).toContain('Somebody runs one lane twice more often than another');
  });

  test('a swap that would put somebody in a heat twice, or take a marshal, is refused', async () => {
    const { night, director } = await plant(five, 2, [...three, { lanes: [5, 3] }]);
    for (const [first, second, sentence] of [
      ['h1/1', 'h3/1', 'in the heat twice'],
      ['h4/1', 'h3/1', 'stands marshal'],
      ['h1/1', 'h1/1', 'Both places hold the same'],
      ['h1/9', 'h3/1', 'no such lane'],
    ] as const) {
      const answer = await post(director, night, 'swap', { first, second });
      expect(answer.statusCode, first).toBe(409);
      expect(answer.body).toContain(sentence);
    }
    expect((await post(director, night, 'swap', { first: 'h1', second: '' })).statusCode).toBe(422);
    expect(await seats(night, 2)).toEqual(['e1 e2', 'e3 e4', 'e2 e1', 'e5 e3']);
  });

  test('heats come off the plan while they were not started, and the others close up', async () => {
    const { night, director } = await plant(five, 2, three);
    await post(director, night, 'remove', { heat: 'h1' });
    expect((await plan(night)).map((heat) => [heat.id, heat.ordinal])).toEqual([
      ['h2', 1],
      ['h3', 2],
    ]);
    // Armed: its facts stay, and so does its row.
    await night.press('h2', 'arm', t.clock.nowUs());
    await post(director, night, 'remove', { heat: 'h2' });
    expect(await order(night)).toEqual(['h3']);
    const rows = await t.db.readClub(night.clubId, (tx) => selectHeatPlans(tx, night.clubId, 'm1'));
    expect(rows.find((heat) => heat.id === 'h2')?.removedAt).toBeInstanceOf(Date);
    await night.press('h3', 'arm', t.clock.nowUs());
    await night.press('h3', 'start', t.clock.nowUs());
    const started = await post(director, night, 'remove', { heat: 'h3' });
    expect(started.statusCode).toBe(409);
    expect(started.body).toContain('Void it at race control');
    expect(await order(night)).toEqual(['h3']);
  });

  test('a heat is added by hand, with a marshal who has least to do', async () => {
    const { night, director } = await plant(five, 2, three, { marshals: 1, heatsPerEntry: 3 });
    expect((await post(director, night, 'add', { 'lane-1': 'e1', 'lane-2': 'e5' })).statusCode).toBe(303);
    expect((await plan(night)).at(-1)).toMatchObject({ id: 'h4', ordinal: 4, marshals: ['e2'] });
    for (const [fields, sentence] of [
      [{}, 'Put at least one driver on a lane.'],
      [{ 'lane-1': 'e1', 'lane-2': 'e1' }, 'on one lane only'],
      [{ 'lane-1': 'e1' }, 'would give somebody 4'],
    ] as const) {
      const answer = await post(director, night, 'add', fields);
      expect(answer.statusCode).toBe(422);
      expect(answer.body).toContain(sentence);
    }
    await withdraw(night, 'e4');
    expect((await post(director, night, 'add', { 'lane-1': 'e4' })).statusCode).toBe(409);
    expect((await post(director, night, 'add', { 'lane-1': 'nobody' })).statusCode).toBe(409);
    expect(await plan(night)).toHaveLength(4);
  });
});

describe('what the pages say', () => {
  test('lanes, waits, pairs and duty in words, and one driver’s path', async () => {
    const { night, director } = await plant(five, 4);
    await draw(director, night, { method: 'step' });
    const { body } = await director.get(page(night));
    // Five drivers on four lanes: five heats, everybody sits out once and meets everybody 3 times
    // (a balanced incomplete block design with v = 5, k = 4, r = 4, λ = r(k - 1)/(v - 1) = 3).
    for (const sentence of [
      '5 heats, about 25 min with 2 minutes between heats.',
      'Everybody runs every lane equally often.',
      'Nobody sits out two heats in a row: no rotation can do better.',
      'Everybody meets everybody exactly three times. No rotation can do better.',
      'Everybody stands marshal once.',
    ]) {
      expect(body).toContain(sentence);
    }
    const path = await director.get(`${page(night)}?driver=e3`);
    expect(path.body).toContain('The path of Cleo');
    expect(path.body.match(/class="seat seat-mine"/g)).toHaveLength(5);
    expect((await director.get(`${page(night)}?driver=%22&driver=x`)).statusCode).toBe(200);
  });

  test('two races of one night keep their heats apart, and the programme has both in order', async () => {
    const { night, director } = await plant(['Ada', 'Bo'], 2);
    const { clubId } = night;
    const race = {
      clubId,
      meetingId: 'm1',
      classId: 'c1',
      format: 'laps',
      laps: 9,
      missing: 'zero',
      standingFastest: false,
    };
    await t.db.withClub(clubId, (tx) => insertRace(tx, { ...race, id: 'r2', ordinal: 2, name: 'Distance' }));
    await director.post(night.path('races/r2/entries'), { driverIds: ['d2'], names: 'Pip' });
    await draw(director, night, { laneOrder: '1 2' });
    const second = night.path('races/r2/rotation');
    await director.get(second);
    await director.post(`${second}/draw`, { runsPerLane: '1', marshals: '0', laneOrder: '1 2', order: 'signUp' });
    const heats = await plan(night);
    expect(heats.map((heat) => [heat.id, heat.raceId, heat.ordinal])).toEqual([
      ['h1', 'r1', 1],
      ['h2', 'r1', 2],
      ['h3', 'r2', 1],
      ['h4', 'r2', 2],
    ]);
    // A heat of one race is none of the other's.
    expect((await director.post(`${second}/remove`, { heat: 'h1' })).statusCode).toBe(409);
    const { body } = await new Visitor(t.app).get(night.path('programme'));
    expect(body.indexOf('Heats of Open')).toBeGreaterThan(0);
    expect(body.indexOf('Heats of Distance')).toBeGreaterThan(body.indexOf('Heats of Open'));
    expect(body.match(/<article class="card"/g)).toHaveLength(3);
    const tonight = await new Visitor(t.app).get(`/c/${night.slug}`);
    expect(tonight.body).toContain('Heat 1, Open');
    expect(tonight.body).toContain('0 of 4 heats run');
  });

  test('a run, an armed and a void heat are marked', async () => {
    const { night, director } = await plant(five, 2, [{ lanes: [1, 2] }, { lanes: [3, 4] }, { lanes: [5, 1] }]);
    await night.press('h1', 'arm', t.clock.nowUs());
    await night.press('h1', 'start', t.clock.nowUs());
    await night.press('h2', 'arm', t.clock.nowUs());
    const { body } = await director.get(page(night));
    expect(body).toMatch(/<span class="badge badge-plain">run</);
    expect(body).toMatch(/<span class="badge badge-strong">armed</);
    // Only the third may still be moved about.
    expect(body).not.toContain('value="h2/1"');
    expect(body).toContain('value="h3/1"');
    expect((await director.get(`/c/${night.slug}`)).body).toContain('1 of 3 heats run');
  });
});
