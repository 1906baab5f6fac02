import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { driver, heatHandicap, standing } from '../../db/schema/index.ts';
import { keptPromises } from '../../server/handicap/kept-promises.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { lapsS, nightWithPast } from '../helpers/handicap-night.ts';
import { emptyClub, expectDirectorOnly } from '../helpers/own-pages.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let night: PlantedNight;
let director: Visitor;
const club = '/c/owls';
const ada = `${club}/drivers/d1/pace`;

beforeAll(async () => {
  t = await startTestApp();
  night = await nightWithPast(t, {
    lanes: 3,
    drivers: ['Ada', 'Bo', 'Cy', 'Di', 'Never Ran'],
    heats: [{ lanes: [1, 2, 3] }, { lanes: [2, 3, 1] }, { lanes: [3, 1, 2] }],
    race: { durationMs: 60_000 },
  });
  director = await signedIn(t, 'owls', 'director');
  await director.get(night.path('races/r1/handicap'));
  await director.post(night.path('races/r1/handicap'), { mode: 'delay', dial: '100', cap: '', round: '0.1' });
  await new Promise((resolve) => setTimeout(resolve, 20));
  await t.app.handicaps.settled();
});
afterAll(() => t.close());

/** The words of a page, tags taken off. */
const words = (html: string) =>
  html
    .replace(/<(style|script)[\s\S]*?<\/\1>/g, '')
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ');

async function page(visitor: Visitor, url: string): Promise<string> {
  const answer = await visitor.get(url);
  expect(answer.statusCode, url).toBe(200);
  const text = words(answer.body);
  expect(text, url).not.toMatch(/NaN|Infinity|undefined|null/);
  return text;
}

describe('a driver’s pace', () => {
  test('tells the clean lap with its limits, from night to night, and crashes', async () => {
    const text = await page(director, ada);
    const [, lap, low, high] =
      /A clean lap takes about ([\d.]+) s; .* between ([\d.]+) and ([\d.]+) s\./.exec(text) ?? [];
    // The laps that were planted are 5 s long.
    expect(Math.abs(Number(lap) - lapsS[0])).toBeLessThan(0.05);
    expect(Number(low)).toBeLessThan(Number(lap));
    expect(Number(high)).toBeGreaterThan(Number(lap));
    expect(text).toContain('The latest 6 nights:');
    expect(text).toContain('On a middle lane of “Attic ring”.');
    expect(text).toMatch(/About as quick as 6 nights ago/);
    expect(text).toMatch(/Crashes in 100 laps [\d.]+ \([\d.]+ to [\d.]+\)/);
    expect(text).toMatch(/s in a heat of 20 laps/);
  });

  test('says why the delay of the next heat is what it is, with figures that add up', async () => {
    const text = await page(director, ada);
    const [, delay] = /Why is the delay ([\d.]+) s\?/.exec(text) ?? [];
    expect(Number(delay)).toBeGreaterThan(3);
    expect(text).toMatch(/On lane 1 a clean lap of Ada takes about 5\.\d\d s/);
    expect(text).toMatch(/Cy on lane 3, who gets the most help, takes about 5\.[456]\d s a lap/);
    const [, parts = ''] = /Put together: (.*?); that makes/.exec(text) ?? [];
    const sum = [...parts.matchAll(/([+−±])([\d.]+) s/g)].reduce(
      (s, [, sign, x]) => s + (sign === '−' ? -1 : 1) * Number(x),
      0,
    );
    expect(sum).toBeCloseTo(Number(delay), 1);
    expect(await page(director, `${club}/drivers/d3/pace`)).toContain('Why no delay?');
  });

  test('is seen by everybody, with numbers for private names, and tells neither chances nor groups', async () => {
    await t.db.withClub('owls', (tx) =>
      tx.update(driver).set({ public: false, paceGroup: 'junior' }).where(sql`id in ('d1', 'd3')`),
    );
    const stranger = await page(new Visitor(t.app), ada);
    expect(stranger).toContain('Pace of Driver');
    expect(stranger).toMatch(/Driver \d+ on lane 3, who gets the most help/);
    expect(stranger).not.toMatch(/Ada|Cy|junior|chance|\bwin/i);
    expect(await page(await signedIn(t, 'owls', 'timekeeper'), ada)).toContain('Pace of Ada');
  });

  test('without laps, or before anything was worked out, says so', async () => {
    expect(await page(director, `${club}/drivers/d5/pace`)).toContain('No laps of Never Ran');
    const { director: other } = await emptyClub(t, 'quiet');
    await t.db.withClub('quiet', (tx) =>
      tx.insert(driver).values({ clubId: 'quiet', id: 'q1', nickname: 'Quill', nicknameKey: 'quill' }),
    );
    expect(await page(other, '/c/quiet/drivers/q1/pace')).toContain('Nothing has been worked out yet.');
    expect(await page(other, '/c/quiet/pace/lanes')).toContain('Nothing has been worked out yet.');
    expect(await page(other, '/c/quiet/pace/promise')).toContain('No heat with a handicap has been run');
    expect((await director.get(`${club}/drivers/nobody/pace`)).statusCode).toBe(404);
  });

  test('is found from the list of drivers, from the driver’s page and from the club’s', async () => {
    expect((await director.get(`${club}/drivers`)).body).toContain(`href="${ada}"`);
    expect((await director.get(`${club}/drivers/d1`)).body).toContain(`href="${ada}"`);
    const { body } = await director.get(`${club}/club`);
    for (const path of ['pace/lanes', 'pace/promise']) expect(body).toContain(`href="${club}/${path}"`);
  });
});

describe('did a setting help?', () => {
  test('heats of one night are compared as they were named', async () => {
    const { body } = await director.get(`${ada}?night=6`);
    const fields = [...new Set([...body.matchAll(/name="(of\.[^"]+)"/g)].map(([, name]) => name as string))];
    expect(fields).toHaveLength(4);
    const query = (settings: string) => fields.map((name, i) => `${encodeURIComponent(name)}=${settings[i]}`).join('&');
    const compared = await page(director, `${ada}?night=6&${query('abba')}`);
    expect(compared).toMatch(/With B a lap takes [\d.]+ % (less|more) \([\d.]+ s (less|more)\)/);
    expect(compared).toContain('Compared: 2 heats with A, 2 heats with B.');
    expect(compared).toMatch(/Crashes in 100 laps: [+−±][\d.]+ with B/);
    expect(await page(director, `${ada}?night=6&${query('aaaa')}`)).toContain('Nothing can be compared');
    expect(await page(director, `${ada}?night=6&${query('xxxx')}`)).not.toContain('Compared:');
  });

  test('heats before and after a night are compared, with what practice may add', async () => {
    const text = await page(director, `${ada}?since=4`);
    expect(text).toMatch(/Compared: \d+ heats with A, 12 heats with B\./);
    expect(text).toContain('Practice between the nights');
  });

  test('whatever stands in the address, the page answers', async () => {
    for (const query of [
      'night=0',
      'night=x&night=6',
      'since=1',
      'since=-1',
      'class=zz&since=4',
      'of.%22=a',
      'of.__proto__=a',
    ]) {
      await page(director, `${ada}?${query}`);
    }
  });
});

test('lanes are compared for everybody', async () => {
  const text = await page(new Visitor(t.app), `${club}/pace/lanes`);
  expect(text).toContain('Attic ring');
  // The planted laps know no difference of lanes.
  expect(text).toMatch(/No lane is certainly quicker|Lane \d is the quickest, lane \d the slowest: 0\.0\d s/);
  for (const lane of [1, 2, 3]) expect(text).toContain(`Lane ${lane} `);
});

describe('was the promise kept?', () => {
  test('is for the director alone', async () => {
    await expectDirectorOnly(t, 'owls', { get: [`${club}/pace/promise`], post: [] });
  });

  /** Heats in which the first entry is told `chance` and wins `won` of them. */
  async function plantPromises(slug: string, heats: number, chance: number, won: number): Promise<Visitor> {
    const planted = await plantNight(t.db, {
      slug,
      lanes: 2,
      drivers: ['Ada', 'Bo'],
      heats: Array.from({ length: heats }, () => ({ lanes: [1, 2] })),
    });
    const { clubId, meetingId } = planted;
    const told = (lane: number, after: number) => ({
      ...{ lane, entryId: `e${lane}`, delayMs: 0, credit: 0, before: 0.5, after },
      provisional: false,
    });
    const own = (lane: number) =>
      Array.from({ length: heats }, (_, i) => ({
        heat: `h${i + 1}`,
        state: 'confirmed',
        score: (lane === 1) === i < won ? 1200 : 1100,
      }));
    const results = { race: 'r1', rows: [1, 2].map((lane) => ({ entry: `e${lane}`, heats: own(lane) })) };
    await t.db.withClub(clubId, async (tx) => {
      for (let i = 1; i <= heats; i += 1) {
        const plan = JSON.stringify({ mode: 'delay', lanes: [told(1, chance), told(2, 1 - chance)] });
        await tx.insert(heatHandicap).values({ clubId, meetingId, heatId: `h${i}`, seed: 1, fitN: null, plan });
      }
      // What an earlier revision said counts no more.
      const row = { clubId, meetingId, raceId: 'r1', provisional: false };
      await tx.insert(standing).values({ ...row, revision: 1, results: '{"race":"r1","rows":[]}' });
      await tx.insert(standing).values({ ...row, revision: 2, results: JSON.stringify(results) });
    });
    return signedIn(t, clubId, 'director');
  }

  test('shares that came true stand beside what was told, in words', async () => {
    const text = await page(await plantPromises('kept', 46, 0.3, 13), '/c/kept/pace/promise');
    expect(text).toContain('When the program said 30 %, it happened 28 % of 46 times.');
    expect(text).toContain('When the program said 70 %, it happened 72 % of 46 times.');
    expect(text).toContain('Every share lies within the limits of chance');
    // 2 (13 * 0.7^2 + 33 * 0.3^2) / 46 = 0.41, by the definition of Brier (1950).
    expect(text).toContain('Brier score: 0.41. Telling everybody the same chance would have scored 0.50');
  });

  test('a promise that was not kept is said to be so', async () => {
    const text = await page(await plantPromises('broken', 40, 0.2, 20), '/c/broken/pace/promise');
    expect(text).toContain('Outside the limits that hold in 9 of 10 cases: 2 of 2 shares.');
  });

  test('few heats say that they are few', async () => {
    const text = await page(await plantPromises('few', 3, 0.5, 1), '/c/few/pace/promise');
    expect(text).toContain('3 heats with a handicap have been confirmed. From 20 on');
    expect(text).not.toContain('Every share lies within');
  });

  test('joint wins are split, less time wins a heat over laps, and what was not told or run is left out', () => {
    const told = { mode: 'delay', lanes: ['e1', 'e2'].map((entryId, i) => ({ lane: i + 1, entryId, after: 0.5 })) };
    const heat = (scores: readonly (number | null)[], state = 'confirmed', format = 'time', plan: object = told) => ({
      ...{ heatId: 'h1', plan: JSON.stringify(plan), format },
      results: JSON.stringify({
        rows: scores.map((score, i) => ({ entry: `e${i + 1}`, heats: [{ heat: 'h1', score, state }] })),
      }),
    });
    const shares = (...args: Parameters<typeof heat>) =>
      keptPromises([heat(...args)]).map(({ starters }) => starters.map(({ share }) => share));
    expect(shares([1200, 1200])).toEqual([[0.5, 0.5]]);
    expect(shares([1200, 1100])).toEqual([[1, 0]]);
    expect(shares([1200, 1100], 'confirmed', 'laps')).toEqual([[0, 1]]);
    expect(shares([null, 1100], 'confirmed', 'laps')).toEqual([[0, 1]]);
    expect(shares([null, null])).toEqual([]);
    expect(shares([0, 0])).toEqual([]);
    expect(shares([1200, 1100], 'ended')).toEqual([]);
    expect(shares([1200, 1100, 900])).toEqual([]);
    expect(shares([1200])).toEqual([]);
    expect(
      shares([1200, 1100], 'confirmed', 'time', { mode: 'delay', lanes: [{ entryId: 'e1', after: null }] }),
    ).toEqual([]);
  });
});
