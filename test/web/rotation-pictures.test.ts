import { and, eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { entry, meeting } from '../../db/schema/index.ts';
import { draw } from '../../server/rotation/draw.ts';
import { insertDraw } from '../../server/rotation/draws-store.ts';
import { drawRequest } from '../../server/rotation/rotation.ts';
import { isoDay, timeOfDay } from '../../views/format.ts';
import { certificate as words } from '../../views/texts/en/certificate.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { type NightPlan, type PlantedNight, plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let clubs = 0;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const names = ['Ada', 'Bo', 'Cleo', 'Dot', 'Eve', 'Fay'];

async function plant(heats: NightPlan['heats'], more: Partial<NightPlan> = {}) {
  clubs += 1;
  const night = await plantNight(t.db, { slug: `pictures${clubs}`, lanes: 2, drivers: names, heats, ...more });
  const director = await signedIn(t, night.clubId, 'director');
  const page = async (query = '') => (await director.get(night.path(`races/r1/rotation${query}`))).body;
  return { night, page };
}

const three: NightPlan['heats'] = [
  { lanes: [1, 2], marshals: [3] },
  { lanes: [3, 4], marshals: [1] },
  { lanes: [5, 1], marshals: [] },
];

describe('a driver’s path', () => {
  test('is drawn on demand, chosen by a link or a list, and said in words', async () => {
    const { page } = await plant(three);
    const everybody = await page();
    expect(everybody).not.toContain('class="path-line"');
    expect(everybody).toMatch(/<form[^>]*method="get"[^>]*>[\s\S]*?<option value="e1">Ada/);
    expect(everybody).toContain('rotation?driver=e1"');
    const path = await page('?driver=e1');
    expect(path.match(/class="path-line"/g)).toHaveLength(3);
    expect(path).toContain('Drives heat 1 on lane 1 and heat 3 on lane 2. Stands marshal in heat 2.');
    expect(path).toMatch(/<option value="e1" selected>/);
    // Nobody of that name: everybody is shown, and no other driver's page is made up.
    expect(await page('?driver=')).not.toContain('class="path-line"');
    expect(await page('?driver=e99')).not.toContain('class="path-line"');
  });
});

describe('the line of the night', () => {
  test('counts minutes before the first heat, 3 minutes of racing and 2 between', async () => {
    const { page } = await plant(three, { race: { marshals: 1 } });
    const body = await page();
    expect(timesIn(body)).toEqual(['0', '5', '10']);
    expect(body).toContain('Minutes are counted from the first start');
    expect(body).toContain('Posts empty');
  });

  test('gives times of day once a heat was run, and none for a night of another day', async () => {
    const { night, page } = await plant(three);
    await night.press('h1', 'arm', t.clock.nowUs());
    await night.press('h1', 'start', t.clock.nowUs());
    expect(timesIn(await page())).toEqual([]);
    const now = t.clock.nowUs() / 1000;
    const zone = 'Europe/Vienna';
    await t.db.withClub(night.clubId, (tx) =>
      tx
        .update(meeting)
        .set({ date: isoDay(new Date(now), zone) })
        .where(and(eq(meeting.clubId, night.clubId), eq(meeting.id, 'm1'))),
    );
    const at = (minutes: number) => timeOfDay(new Date(now + minutes * 60_000), { zone, locale: 'en' });
    const body = await page();
    expect(timesIn(body)).toEqual(['', at(2), at(7)]);
    expect(body).toContain('Times are estimated from now');
  });

  const timesIn = (body: string) => {
    const row = /<tr class="night-times">([\s\S]*?)<\/tr>/.exec(body)?.[1] ?? '';
    return [...row.matchAll(/<td class="figure">([^<]*)<\/td>/g)].map(([, time]) => time);
  };
});

describe('the latest draw', () => {
  test('is named with its seed and engine, and its verdicts hold while the plan is as drawn', async () => {
    const request = drawRequest({
      drivers: names.map((_, i) => `e${i + 1}`),
      lanes: 3,
      marshals: 1,
      preset: 'opponents',
      seed: 4711,
      budgetMs: 100,
    });
    const drawn = draw(request);
    const number = (id: unknown) => (id === null ? 0 : Number(String(id).slice(1)));
    const { night, page } = await plant(
      drawn.heats.map((seats, h) => ({ lanes: seats.map(number), marshals: (drawn.marshals[h] ?? []).map(number) })),
      { lanes: 3, race: { marshals: 1 } },
    );
    await t.db.withClub(night.clubId, (tx) =>
      insertDraw(tx, { clubId: night.clubId, meetingId: 'm1', id: 'r1' }, { ...drawn, request }),
    );
    const body = await page();
    expect(body).toContain(`Drawn with seed 4711, engine ${drawn.engine}, on `);
    expect(body).toContain(night.path('races/r1/rotation/draws/1.json'));
    expect(body).toContain(words.headline(drawn.certificate));
    expect(body).not.toContain('changed by hand');
    const director = await signedIn(t, night.clubId, 'director');
    await director.get(night.path('races/r1/rotation'));
    // The first swap on lane 1 that puts nobody into a heat twice.
    const answers: number[] = [];
    for (let h = 1; h < drawn.heats.length && !answers.includes(303); h += 1) {
      const fields = { first: `h${h}/1`, second: `h${h + 1}/1` };
      answers.push((await director.post(night.path('races/r1/rotation/swap'), fields)).statusCode);
    }
    expect(answers).toContain(303);
    expect(await page()).toContain('changed by hand');
  });
});

describe('groups', () => {
  const groupsOf = async (night: PlantedNight, groups: Readonly<Record<string, number>>) => {
    for (const [id, groupNo] of Object.entries(groups)) {
      await t.db.withClub(night.clubId, (tx) =>
        tx
          .update(entry)
          .set({ groupNo })
          .where(and(eq(entry.clubId, night.clubId), eq(entry.id, id))),
      );
    }
  };

  test('heats stand under their group, and who meets whom is shown for each', async () => {
    const { night, page } = await plant([{ lanes: [1, 2] }, { lanes: [2, 1] }, { lanes: [3, 4] }, { lanes: [4, 3] }]);
    await groupsOf(night, { e1: 1, e2: 1, e3: 2, e4: 2 });
    const body = await page();
    expect([...body.matchAll(/scope="rowgroup"[^>]*><span>([^<]*)</g)].map(([, title]) => title)).toEqual([
      'Group 1',
      'Group 2',
    ]);
    expect([...body.matchAll(/>(Who meets whom[^<]*)<\/h3>/g)].map(([, title]) => title)).toEqual([
      'Who meets whom in group 1',
      'Who meets whom in group 2',
    ]);
    const programme = await new Visitor(t.app).get(night.path('programme'));
    expect(programme.body).toContain('Group 2');
  });
});

describe('cards of the programme', () => {
  test('name heats, lanes, posts and rests', async () => {
    const { night } = await plant(three);
    const { body } = await new Visitor(t.app).get(night.path('programme'));
    const cards = [...body.matchAll(/<article class="card"[\s\S]*?<\/article>/g)].map(([card]) => plain(card));
    expect(cards).toHaveLength(names.length);
    expect(cards[0]).toBe('Ada 2 runs, 1 post Heat 1 1 Lane 1 Laps Heat 2 Marshal, post 1 Heat 3 2 Lane 2 Laps');
    expect(cards[4]).toBe('Eve 1 run rest for 2 heats Heat 3 1 Lane 1 Laps');
    expect(cards[5]).toContain('Not in any heat.');
  });

  const plain = (html: string) =>
    html
      .replace(/<[^>]*>/g, ' ')
      .replace(/\s+/g, ' ')
      .trim();
});
