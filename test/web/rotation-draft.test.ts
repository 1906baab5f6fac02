import type { FastifyInstance } from 'fastify';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildApp } from '../../server/app.ts';
import { selectDrawPreset } from '../../server/clubs/store.ts';
import { readConfig } from '../../server/config.ts';
import { markWithdrawn, selectEntries, selectRaces } from '../../server/meetings/store.ts';
import { draw } from '../../server/rotation/draw.ts';
import { selectDraws } from '../../server/rotation/draws-store.ts';
import { parseDrawRequest } from '../../server/rotation/request.ts';
import { selectHeatPlans } from '../../server/rotation/store.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import {
  type DraftOnScreen,
  databaseHash,
  draftOf,
  finished,
  openDraft,
  readDraft,
  takeDraft,
} from '../helpers/drafts.ts';
import { type NightPlan, type PlantedNight, plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const five = ['Ada', 'Bo', 'Cleo', 'Dot', 'Eve'];
const thirteen = [...five, 'Flo', 'Gus', 'Hal', 'Ivy', 'Jo', 'Kit', 'Lou', 'Max'];

async function plant(
  drivers: readonly string[],
  lanes: number,
  heats: NightPlan['heats'] = [],
  race: NightPlan['race'] = {},
) {
  clubs += 1;
  const night = await plantNight(t.db, { slug: `draft${clubs}`, lanes, drivers, heats, race });
  const director = await signedIn(t, night.clubId, 'director');
  const rotation = night.path('races/r1/rotation');
  await director.get(rotation);
  return { night, director, rotation };
}

const read = <T>(night: PlantedNight, work: Parameters<typeof t.db.readClub<T>>[1]) =>
  t.db.readClub(night.clubId, work);
const plan = async (night: PlantedNight) =>
  (await read(night, (tx) => selectHeatPlans(tx, night.clubId, 'm1'))).filter((heat) => heat.removedAt === null);
const draws = (night: PlantedNight) =>
  read(night, (tx) => selectDraws(tx, { clubId: night.clubId, meetingId: 'm1', id: 'r1' }));
const withdraw = (night: PlantedNight, id: string) =>
  t.db.withClub(night.clubId, (tx) => markWithdrawn(tx, { clubId: night.clubId, meetingId: 'm1', id }, true));

/** The plan as a draft would show it. */
async function heatsOf(night: PlantedNight, lanes: number): Promise<string[]> {
  const entries = await read(night, (tx) => selectEntries(tx, night.clubId, 'm1'));
  const names = new Map(entries.map((entry) => [entry.id, entry.nickname]));
  return (await plan(night)).map((heat) =>
    Array.from({ length: lanes }, (_, l) => {
      const entry = heat.lanes.find((one) => one.lane === l + 1)?.entryId;
      return entry === undefined ? '–' : names.get(entry);
    }).join(' '),
  );
}
const drawn = (draft: Pick<DraftOnScreen, 'heats'>) =>
  draft.heats.filter((row) => !/^(run|armed|void|stays) /.test(row));
const stays = (draft: Pick<DraftOnScreen, 'heats'>) =>
  draft.heats.filter((row) => /^(run|armed|void|stays) /.test(row));

/** Runs a heat: what the draw must keep. */
async function run(night: PlantedNight, heat: string): Promise<void> {
  await night.press(heat, 'arm', t.clock.nowUs());
  await night.press(heat, 'start', t.clock.nowUs());
}

/** A night that was drawn and begun: the first heats are run. */
async function begun(drivers: readonly string[], lanes: number, ran: number, fields: Record<string, string> = {}) {
  const opened = await plant(drivers, lanes);
  const { night, director, rotation } = opened;
  const taken = await takeDraft(director, rotation, await openDraft(director, rotation, fields));
  expect(taken.statusCode).toBe(303);
  for (const heat of (await plan(night)).slice(0, ran)) await run(night, heat.id);
  return opened;
}

/** How often each entry drives on each lane, over heats that count. */
async function runs(night: PlantedNight): Promise<Map<string, number>> {
  const counts = new Map<string, number>();
  for (const { lane, entryId } of (await plan(night)).flatMap((heat) => heat.lanes)) {
    counts.set(`${entryId}/${lane}`, (counts.get(`${entryId}/${lane}`) ?? 0) + 1);
  }
  return counts;
}

/** Another process over the same database: nothing in memory is shared. */
async function anotherProcess(): Promise<FastifyInstance> {
  const config = readConfig({ LOG_LEVEL: 'silent' });
  if ('problems' in config) throw new Error(config.problems.join());
  const app = await buildApp({ config: config.config, db: t.db, clock: t.clock });
  await app.ready();
  return app;
}
function sameBrowser(director: Visitor, app: FastifyInstance): Visitor {
  const visitor = new Visitor(app);
  for (const [name, value] of Object.entries(director.cookies)) visitor.setCookie(name, value);
  return visitor;
}

describe('a draft', () => {
  test('saves nothing until it is taken, and then exactly what it shows', async () => {
    const { night, director, rotation } = await plant(thirteen, 4);
    const before = await databaseHash(t.db);
    const draft = await openDraft(director, rotation, { marshals: '2' });
    expect(draft.answer.statusCode).toBe(200);
    expect(draft.text).toContain('Nothing is saved yet.');
    expect(draft.text).toContain('13 heats are needed for all runs. No plan can do with fewer: that is proved.');
    expect(draft.text).toContain('13 heats, about 1 h 5 min with 2 minutes between heats.');
    expect(draft.heats).toHaveLength(13);
    expect(draft.address).toMatch(/[?&]seed=\d+/);
    // The same address is the same draft.
    expect((await readDraft(director, draft.address)).heats).toEqual(draft.heats);
    expect(await databaseHash(t.db)).toBe(before);

    expect((await takeDraft(director, rotation, draft)).statusCode).toBe(303);
    expect(await heatsOf(night, 4)).toEqual(draft.heats);
    const [race] = await read(night, (tx) => selectRaces(tx, night.clubId, 'm1'));
    expect(race?.marshals).toBe(2);
    expect((await plan(night)).every((heat) => heat.marshals.length === 2)).toBe(true);
  });

  test('shows even opponents and rest side by side, with the way to the other', async () => {
    const { director, rotation } = await plant(thirteen, 4);
    const draft = await openDraft(director, rotation);
    expect(draft.text).toContain('The same with another aim');
    const rest = await readDraft(director, draft.links.get('Show “Rest between heats”') ?? '');
    expect(rest.fields.aim).toBe('2');
    expect(rest.text).toContain('Show “Even opponents”');
    expect(rest.fields.seed).toBe(draft.fields.seed);
  });

  test('another lot is another seed', async () => {
    const { director, rotation } = await plant(thirteen, 4);
    const draft = await openDraft(director, rotation);
    const other = await readDraft(director, draft.links.get('Another lot') ?? '');
    expect(other.fields.seed).not.toBe(draft.fields.seed);
    expect(other.heats).not.toEqual(draft.heats);
  });

  test('what matters most is kept for the club when that is ticked', async () => {
    const { night, director, rotation } = await plant(five, 4);
    const preset = () => read(night, (tx) => selectDrawPreset(tx, night.clubId));
    await takeDraft(director, rotation, await openDraft(director, rotation, { aim: '2' }));
    expect(await preset()).toBe('opponents');
    const draft = await openDraft(director, rotation, { aim: '2', keep: 'on' });
    expect(await preset()).toBe('opponents');
    await takeDraft(director, rotation, draft);
    expect(await preset()).toBe('rest');
    expect((await director.get(rotation)).body).toMatch(/id="aim"[^>]* value="2"/);
    // A draw that names no aim takes the club's.
    await director.post(`${rotation}/draw`, { search: '0' });
    expect((await draws(night)).at(-1)?.request.preset).toBe('rest');
  });

  test('the stored request is readable as JSON and draws the same heats again', async () => {
    const { night, director, rotation } = await plant(five, 4);
    const draft = await openDraft(director, rotation, { marshals: '1', search: '1' });
    await takeDraft(director, rotation, draft);
    expect((await director.get(rotation)).body).toContain(`${rotation}/draws/1.json`);
    const answer = await director.get(`${rotation}/draws/1.json`);
    expect(answer.headers['content-type']).toContain('application/json');
    const parsed = parseDrawRequest(answer.json());
    if (!parsed.ok) throw new Error(JSON.stringify(parsed.problem));
    const seats = (await plan(night)).map((heat) =>
      [1, 2, 3, 4].map((l) => heat.lanes.find((one) => one.lane === l)?.entryId ?? null),
    );
    expect(draw(parsed.request).heats).toEqual(seats);
    for (const nothing of ['2.json', '0.json', '1', 'x.json']) {
      expect((await director.get(`${rotation}/draws/${nothing}`)).statusCode, nothing).toBe(404);
    }
  });
});

test('what was drawn of a begun night is read and drawn again as well', async () => {
  const { night, director, rotation } = await begun(thirteen, 4, 3, { marshals: '2' });
  await withdraw(night, 'e5');
  await director.post(night.path('races/r1/entries'), { names: 'Late Nel' });
  const draft = await openDraft(director, rotation, {
    marshals: '2',
    lanesOut: ['4'],
    lateRuns: '1',
    runsPerLane: '2',
  });
  expect((await takeDraft(director, rotation, draft)).statusCode).toBe(303);
  const parsed = parseDrawRequest((await director.get(`${rotation}/draws/2.json`)).json());
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.problem));
  const again = draw(parsed.request);
  const drawnHeats = (await plan(night)).slice(3);
  const seats = drawnHeats.map((heat) =>
    [1, 2, 3, 4].map((l) => heat.lanes.find((one) => one.lane === l)?.entryId ?? null),
  );
  expect(again.heats).toEqual(seats);
  expect(again.marshals).toEqual(drawnHeats.map((heat) => heat.marshals));
});

describe('a search that goes on', () => {
  const long = { search: '60' };

  test('shows heats at once, can be stopped, and gives the same in another process', async () => {
    const { night, director, rotation } = await plant(thirteen, 4);
    const draft = await openDraft(director, rotation, long);
    expect(draft.heats).toHaveLength(13);
    expect(draft.answer.body).toContain('<progress');
    expect(draft.answer.body).toMatch(/id="draft-poll"[^>]*hx-trigger="every 500ms"/);
    const stop = draft.links.get('Stop here') ?? '';
    expect(stop).toMatch(/[?&]steps=\d+/);

    const stopped = await readDraft(director, stop);
    expect(stopped.text).toContain('The search was stopped.');
    expect(stopped.answer.body).not.toContain('<progress');
    expect(stopped.heats).toEqual(draft.heats);

    const app = await anotherProcess();
    try {
      const elsewhere = sameBrowser(director, app);
      const again = await finished(elsewhere, await readDraft(elsewhere, stop));
      expect(again.heats).toEqual(stopped.heats);
      expect((await takeDraft(elsewhere, rotation, again)).statusCode).toBe(303);
    } finally {
      await app.close();
    }
    expect(await heatsOf(night, 4)).toEqual(stopped.heats);
    const [last] = await draws(night);
    expect(String(last?.request.steps)).toBe(stopped.fields.steps);
  });

  test('what is shown while it goes on is what is taken', async () => {
    const { night, director, rotation } = await plant(thirteen, 4);
    const draft = await openDraft(director, rotation, long);
    expect(draft.answer.body).toContain('<progress');
    await new Promise((resolve) => setTimeout(resolve, 300));
    expect((await takeDraft(director, rotation, draft)).statusCode).toBe(303);
    expect(await heatsOf(night, 4)).toEqual(draft.heats);
  });

  test('the live part follows it and asks no more when it is over', async () => {
    const { director, rotation } = await plant(['Ada', 'Bo', 'Cleo'], 2);
    const draft = await openDraft(director, rotation, { search: '1' });
    const live = draft.address.replace('/draft?', '/draft/live?');
    let piece = await director.get(live);
    for (let tries = 0; /draft-poll/.test(piece.body) && tries < 600; tries += 1) {
      await new Promise((resolve) => setTimeout(resolve, 50));
      piece = await director.get(live);
    }
    expect(piece.body).toMatch(/^<div id="draft"/);
    expect(piece.body).not.toContain('draft-poll');
    expect(piece.body).toContain('The search is finished.');
    expect((await readDraft(director, draft.address)).heats).toEqual(draftOf(piece.body).heats);
  });
});

describe('a plan that changes under a draft', () => {
  test('is not overwritten: the page as it is now, and taking that works', async () => {
    const { night, director, rotation } = await plant(five, 4);
    await takeDraft(director, rotation, await openDraft(director, rotation));
    const draft = await openDraft(director, rotation);
    const [first] = await plan(night);
    await night.press(first?.id ?? '', 'arm', t.clock.nowUs());
    const before = await databaseHash(t.db);

    const refused = await takeDraft(director, rotation, draft);
    expect(refused.statusCode).toBe(409);
    expect(refused.body).toContain('The plan has changed meanwhile. Nothing was saved.');
    expect(await databaseHash(t.db)).toBe(before);

    const live = await director.get(draft.address.replace('/draft?', '/draft/live?'));
    expect(live.body).toContain('The plan has changed since this draft was made.');
    expect(live.body).not.toContain('draft-poll');

    const now = { ...draft, ...draftOf(refused.body) };
    expect(stays(now)).toHaveLength(1);
    expect((await takeDraft(director, rotation, now)).statusCode).toBe(303);
    expect((await heatsOf(night, 4)).slice(1)).toEqual(drawn(now));
    expect((await plan(night))[0]).toEqual(first);
  });

  test('two directors who take two drafts leave one of them whole', async () => {
    const { night, director, rotation } = await plant(five, 4);
    const other = await signedIn(t, night.clubId, 'director');
    await other.get(rotation);
    const drafts = [await openDraft(director, rotation), await openDraft(other, rotation)] as const;
    const answers = await Promise.all([
      takeDraft(director, rotation, drafts[0]),
      takeDraft(other, rotation, drafts[1]),
    ]);
    expect(answers.map((answer) => answer.statusCode).sort()).toEqual([303, 409]);
    const winner = drafts[answers.findIndex((answer) => answer.statusCode === 303)];
    expect(await heatsOf(night, 4)).toEqual(winner?.heats);
  });
});

describe('what is left of a night', () => {
  test('is shown before anything is saved: what stays, what changes for whom', async () => {
    const { night, director, rotation } = await begun(five, 4, 2);
    await withdraw(night, 'e5');
    await director.post(night.path('races/r1/entries'), { names: 'Late Flo' });
    const before = await databaseHash(t.db);
    const draft = await openDraft(director, rotation);
    expect(stays(draft)).toHaveLength(2);
    expect(draft.text).toContain('What changes for whom');
    expect(draft.text).toMatch(/Late Flo ?also heat \d+, lane \d/);
    expect(draft.text).toContain('New on the plan: Late Flo.');
    expect(draft.text).toContain('Off the plan: Eve.');
    expect(draft.text).toContain('marks a lane where somebody else drives than on the plan as it is.');
    expect(await databaseHash(t.db)).toBe(before);

    await takeDraft(director, rotation, draft);
    expect((await heatsOf(night, 4)).slice(2)).toEqual(drawn(draft));
    const counts = await runs(night);
    for (const id of ['e1', 'e2', 'e3', 'e4', 'e6']) {
      for (const lane of [1, 2, 3, 4]) expect(counts.get(`${id}/${lane}`), `${id} on ${lane}`).toBe(1);
    }
  });

  test('the next heat stays as it was announced where nothing speaks against it', async () => {
    const { night, director, rotation } = await begun(thirteen, 4, 3);
    const next = (await heatsOf(night, 4))[3];
    await director.post(night.path('races/r1/entries'), { names: 'Late Nel' });
    const draft = await openDraft(director, rotation);
    expect(drawn(draft)[0]).toBe(next);
  });

  test('who comes as somebody leaves takes their seats, and nothing changes for anybody else', async () => {
    const { night, director, rotation } = await plant(thirteen, 4);
    const search = async () => finished(director, await openDraft(director, rotation, { search: '1' }));
    await takeDraft(director, rotation, await search());
    for (const heat of (await plan(night)).slice(0, 2)) await run(night, heat.id);
    const heats = await heatsOf(night, 4);
    const leaver = thirteen.findIndex((name) => !heats.slice(0, 2).some((row) => row.split(' ').includes(name)));
    await withdraw(night, `e${leaver + 1}`);
    await director.post(night.path('races/r1/entries'), { names: 'Late-Nel' });
    const draft = await search();
    expect(drawn(draft)).toEqual(heats.slice(2).map((row) => row.replace(thirteen[leaver] as string, 'Late-Nel')));
    expect(draft.text).toContain('Nothing changes for 12 others.');
    expect(draft.answer.body.match(/<dl class="draft-changes">.*?<\/dl>/s)?.[0].match(/<dt/g)).toHaveLength(2);
  });

  test('who comes late gets as many runs as the director says, also in the draw after that', async () => {
    const { night, director, rotation } = await begun(five, 4, 3, { runsPerLane: '2' });
    await director.post(night.path('races/r1/entries'), { names: 'Late Flo' });
    const asked = { runsPerLane: '2', lateRuns: '1' };
    await takeDraft(director, rotation, await openDraft(director, rotation, asked));
    const flo = async () => [1, 2, 3, 4].map((lane) => runs(night).then((counts) => counts.get(`e6/${lane}`)));
    expect(await Promise.all(await flo())).toEqual([1, 1, 1, 1]);
    // Flo has driven once: what is left for her is one run on each of the other lanes.
    const heats = await plan(night);
    const hers = heats.findIndex((heat) => heat.lanes.some((one) => one.entryId === 'e6'));
    for (const heat of heats.slice(3, hers + 1)) await run(night, heat.id);
    await withdraw(night, 'e5');
    await takeDraft(director, rotation, await openDraft(director, rotation, { runsPerLane: '2' }));
    expect(await Promise.all(await flo())).toEqual([1, 1, 1, 1]);
  });

  test('a lane that is out of use stays empty from now on', async () => {
    const { night, director, rotation } = await begun(five, 4, 2);
    const draft = await openDraft(director, rotation, { lanesOut: ['2'] });
    expect(drawn(draft).every((row) => row.split(' ')[1] === '–')).toBe(true);
    await takeDraft(director, rotation, draft);
    const counts = await runs(night);
    for (const id of ['e1', 'e2', 'e3', 'e4', 'e5']) {
      for (const lane of [1, 3, 4]) expect(counts.get(`${id}/${lane}`), `${id} on ${lane}`).toBe(1);
    }
    // The form remembers it.
    expect((await director.get(rotation)).body).toMatch(/id="lanesOut-2"[^>]* checked/);
  });

  test('less time: as many heats as fit, runs shared out evenly', async () => {
    const { night, director, rotation } = await begun(thirteen, 4, 3);
    // Heats of 3 minutes and 2 minutes between them: 5 of them fit into 27 minutes.
    const draft = await openDraft(director, rotation, { length: 'minutes', minutes: '27' });
    expect(draft.text).toContain('5 heats of 3 min fit into 27 minutes, with 2 minutes between heats.');
    expect(draft.text).toContain('there is time for 5');
    expect(drawn(draft)).toHaveLength(5);
    await takeDraft(director, rotation, draft);
    const heats = await plan(night);
    const each = thirteen.map(
      (_, i) => heats.filter((heat) => heat.lanes.some((one) => one.entryId === `e${i + 1}`)).length,
    );
    expect(Math.max(...each) - Math.min(...each)).toBeLessThanOrEqual(1);
    expect(heats).toHaveLength(8);
  });

  test('time for more than is needed changes nothing', async () => {
    const { director, rotation } = await plant(five, 4);
    const draft = await openDraft(director, rotation, { length: 'heats', mostHeats: '40' });
    expect(draft.heats).toHaveLength(5);
    expect(draft.text).toContain('5 heats are needed for all runs.');
  });

  test('one heat more is offered, and is one heat more with the same runs', async () => {
    const { night, director, rotation } = await begun(thirteen, 4, 3);
    await withdraw(night, 'e13');
    const draft = await openDraft(director, rotation);
    const more = await readDraft(director, draft.links.get('Show it with one heat more') ?? '');
    expect(drawn(more)).toHaveLength(drawn(draft).length + 1);
    expect(more.text).toContain('one more than needed');
    await takeDraft(director, rotation, more);
    const counts = await runs(night);
    for (let i = 1; i <= 12; i += 1) {
      for (const lane of [1, 2, 3, 4]) expect(counts.get(`e${i}/${lane}`), `e${i} on ${lane}`).toBe(1);
    }
  });

  test('a void heat does not count, its rerun stays', async () => {
    const { night, director, rotation } = await begun(['Ada', 'Bo'], 2, 1);
    const [one] = await plan(night);
    await night.rule(one?.id ?? '', { kind: 'void', target: {} }, t.clock.nowUs());
    const draft = await openDraft(director, rotation);
    expect(stays(draft)).toEqual([expect.stringMatching(/^void /)]);
    expect(drawn(draft)).toHaveLength(2);
  });

  test('when everything was run there is nothing to take', async () => {
    const { director, rotation } = await begun(['Ada', 'Bo'], 2, 2);
    const draft = await openDraft(director, rotation);
    expect(draft.answer.statusCode).toBe(422);
    expect(draft.text).toContain('nothing left to draw');
  });
});

describe('other ways to draw', () => {
  test('groups race one after the other, and entries know theirs', async () => {
    const { night, director, rotation } = await plant(thirteen, 4);
    const draft = await openDraft(director, rotation, { groups: '2', split: 'lot' });
    await takeDraft(director, rotation, draft);
    const entries = await read(night, (tx) => selectEntries(tx, night.clubId, 'm1'));
    const groups = new Map(entries.map((entry) => [entry.id, entry.groupNo]));
    expect([...groups.values()].sort()).toEqual([...Array(6).fill(1), ...Array(7).fill(2)]);
    const order = (await plan(night)).map((heat) => new Set(heat.lanes.map((one) => groups.get(one.entryId))));
    expect(order.every((own) => own.size === 1)).toBe(true);
    const sequence = order.map((own) => [...own][0] as number);
    expect(sequence).toEqual([...sequence].sort());
    // A repair keeps the groups.
    const [first] = await plan(night);
    await run(night, first?.id ?? '');
    await takeDraft(director, rotation, await openDraft(director, rotation));
    const after = await read(night, (tx) => selectEntries(tx, night.clubId, 'm1'));
    expect(after.map((entry) => entry.groupNo)).toEqual(entries.map((entry) => entry.groupNo));
  });

  test('pairs on two lanes: everyone meets everyone on both', async () => {
    const { night, director, rotation } = await plant(['Ada', 'Bo', 'Cleo', 'Dot'], 2);
    await takeDraft(director, rotation, await openDraft(director, rotation, { pairs: 'on' }));
    const heats = (await plan(night)).map((heat) => heat.lanes.map((one) => one.entryId).join());
    const all = [1, 2, 3, 4].flatMap((a) => [1, 2, 3, 4].filter((b) => b !== a).map((b) => `e${a},e${b}`));
    expect([...heats].sort()).toEqual(all.sort());
  });

  test('who does not marshal is left out, and may be let in', async () => {
    const { night, director, rotation } = await plant(five, 2);
    const edited = await director.post(`/c/${night.slug}/drivers/d1/edit`, {
      nickname: 'Ada',
      public: 'on',
      marshals: 'no',
    });
    expect(edited.statusCode).toBe(303);
    const draft = await openDraft(director, rotation, { marshals: '2' });
    expect(draft.text).toContain('No marshal duty for Ada.');
    await takeDraft(director, rotation, draft);
    expect((await plan(night)).flatMap((heat) => heat.marshals)).not.toContain('e1');
    const all = await openDraft(director, rotation, { marshals: '3', everyoneMarshals: 'on' });
    await takeDraft(director, rotation, all);
    expect((await plan(night)).flatMap((heat) => heat.marshals)).toContain('e1');
  });

  test('too few marshals is said by heat', async () => {
    const { director, rotation } = await plant(five, 4);
    const draft = await openDraft(director, rotation, { marshals: '3' });
    expect(draft.text).toContain('In every heat two marshal posts stay empty.');
  });
});

describe('what cannot be drawn', () => {
  const wrong: [string, Record<string, string | string[]>, string, Record<string, string>][] = [
    ['too many runs', { runsPerLane: '21' }, 'A number from 1 to 20.', { runsPerLane: '20' }],
    ['too many cars', { carsPerHeat: '9' }, 'A number from 1 to 4.', { carsPerHeat: '4' }],
    ['no heats', { length: 'heats', mostHeats: '0' }, 'A number from 1 to 500.', { mostHeats: '2' }],
    ['too few minutes', { length: 'minutes', minutes: '4' }, 'Not one heat fits into that time.', { minutes: '10' }],
    ['every lane out', { lanesOut: ['1', '2', '3', '4'] }, 'At least one lane must be in use.', {}],
    ['pairs on four lanes', { pairs: 'on' }, 'exactly two lanes must be in use', {}],
    ['too many groups', { groups: '4' }, 'would leave somebody alone in a group', { groups: '2' }],
    ['too few heats', { length: 'heats', mostHeats: '1' }, 'In 1 heat not everybody can run.', { mostHeats: '2' }],
  ];
  test.each(wrong)('%s: a sentence and the nearest possible draw', async (_, fields, sentence, nearest) => {
    const { night, director, rotation } = await plant(five, 4, [], { durationMs: 180_000 });
    const draft = await openDraft(director, rotation, fields);
    expect(draft.answer.statusCode).toBe(422);
    expect(draft.text).toContain(sentence);
    const possible = await readDraft(director, draft.links.get('Show the nearest draft that is possible') ?? '');
    expect(possible.answer.statusCode).toBe(200);
    expect(possible.fields).toMatchObject(nearest);
    const posted = await director.post(`${rotation}/draw`, { runsPerLane: '1', search: '0', ...fields });
    expect(posted.statusCode).toBe(422);
    expect(posted.body).toContain('Nothing was changed');
    expect(await plan(night)).toEqual([]);
  });

  test('more heats than the race gives everybody: how many runs are possible', async () => {
    const { director, rotation } = await plant(five, 4, [], { heatsPerEntry: 4 });
    const draft = await openDraft(director, rotation, { runsPerLane: '2' });
    expect(draft.answer.statusCode).toBe(422);
    expect(draft.text).toContain('this draw would give somebody 8');
    const possible = await readDraft(director, draft.links.get('Show the nearest draft that is possible') ?? '');
    expect(possible.answer.statusCode).toBe(200);
    expect(possible.fields.runsPerLane).toBe('1');
  });
});
