import { readFileSync } from 'node:fs';
import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { insertClub } from '../../server/clubs/store.ts';
import { recordStandings } from '../../server/results/revisions.ts';
import { selectStandings } from '../../server/results/revisions-store.ts';
import { selectOptionalStoredMeeting } from '../../server/results/store.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';

const data = new URL('../reference/data/nights/', import.meta.url);
const night = (name: string) => readFileSync(new URL(`${name}.jsonl`, data));

let t: TestApp;
let director: Visitor;
beforeAll(async () => {
  t = await startTestApp();
  await t.db.withClub('owls', (tx) =>
    insertClub(tx, { id: 'owls', slug: 'owls', name: 'Barn Owls', zone: 'Europe/Vienna' }),
  );
  director = await signedIn(t, 'owls', 'director');
});
afterAll(() => t.close());

/** Opens a recorded meeting in the club and answers its address. */
async function open(name: string): Promise<string> {
  await director.get('/c/owls/import');
  const answer = await director.upload('/c/owls/import', 'log', { name: 'log.jsonl', bytes: night(name) });
  expect(answer.statusCode).toBe(303);
  return String(answer.headers.location).replace(/\/results\?.*$/, '');
}

const club2 = 'nights/night-2-club-4-lanes-ahead-reboot';
const running = 'nights/night-8-four-drivers-4-lanes-still-running';

/** The text that people read, without tags. */
const words = (html: string) =>
  html
    .replace(/^[^]*<main/, '<main')
    .replace(/<[^>]+>/g, ' ')
    .replace(/&quot;/g, '"')
    .replace(/\s+/g, ' ');

const linksOf = (html: string) => [...html.matchAll(/<a [^>]*href="([^"]+)"/g)].map(([, href]) => href as string);

describe('results of a finished meeting', () => {
  let meeting: string;
  let page: string;
  const guest = () => new Visitor(t.app);
  beforeAll(async () => {
    meeting = await open(club2);
    page = (await guest().get(`${meeting}/results`)).body;
  });

  it('begin with who won, and say that they are final', () => {
    expect(words(page)).toContain('Biscuit wins Barn sprint by 11.91 laps.');
    expect(words(page)).toContain('Every heat is confirmed.');
    expect(words(page)).not.toContain('Provisional');
    // Places and scores: night-2-….results.json.
    const standing = words(page.slice(page.indexOf('id="standing-1"'), page.indexOf('id="lanes-1"')));
    const expected = JSON.parse(readFileSync(new URL(`${club2}.results.json`, data), 'utf8'))[0].rows;
    let from = 0;
    for (const { nickname, score, place } of expected) {
      from = standing.indexOf(`${place} ${nickname} ${(score / 100).toFixed(2)}`, from);
      expect(from, nickname).toBeGreaterThan(0);
    }
    expect(standing).toContain('1 heat filled by the own mean');
    expect(standing).toContain('excluded from the race');
    expect(page.indexOf('lap-chart')).toBeLessThan(page.indexOf('id="standing-1"'));
  });

  it('list the rulings openly, also what was undone', () => {
    expect(page).toMatch(
      /<del>Crossing of lane 4 \(Otter\) at 23\.651 does not count<\/del><strong> undone by ruling 9/,
    );
    expect(words(page)).toMatch(/The heat is void: it counts for nobody\s+power supply tripped/);
    expect(words(page)).toMatch(/Lane 2 \(Biscuit\): \u22122\.50 laps nudging director, \d\d:\d\d/);
    expect(words(page)).toContain('rerun of heat 4');
  });

  it('lead to a page for each heat and each driver; every link of every page works', async () => {
    const seen = new Set<string>();
    const queue = [`${meeting}/results`];
    for (const url of queue) {
      const answer = await guest().get(url);
      expect(answer.statusCode, url).toBe(200);
      if (!String(answer.headers['content-type']).startsWith('text/html')) continue;
      for (const link of linksOf(answer.body)) {
        const path = link.replace(/#.*$/, '');
        if (!path.startsWith(meeting) || seen.has(path)) continue;
        seen.add(path);
        queue.push(path);
      }
    }
    expect([...seen].filter((url) => url.includes('/heats/'))).toHaveLength(7);
    expect([...seen].filter((url) => url.includes('/entries/'))).toHaveLength(6);
  });

  it('show a heat lap by lap, with flags in words', async () => {
    const heat = linksOf(page).find((url) => url.endsWith('/heats/h1')) as string;
    const shown = words((await guest().get(heat)).body);
    expect(shown).toContain('Heat 1, Barn sprint');
    expect(shown).toContain('Place after each lap');
    expect(shown).toMatch(/Lane 4 \(Biscuit\): part lap 0\.33 measured timekeeper/);
    expect(shown).toMatch(/1 4\.786 5\.581 ruled/);
    expect(shown).toContain('A lap with a note counts as a lap, and not as a fastest lap.');
  });

  it('are there as CSV, one row an entry and one row a lap', async () => {
    const [results, laps] = linksOf(page).filter((url) => url.endsWith('.csv')) as [string, string];
    const one = await guest().get(results);
    expect(one.headers['content-type']).toBe('text/csv; charset=utf-8');
    expect(one.headers['content-disposition']).toMatch(
      /^attachment; filename="thursday-at-the-barn-\S+-barn-sprint\.csv"/,
    );
    const rows = one.body.replace('\uFEFF', '').trimEnd().split('\r\n');
    expect(rows).toHaveLength(7);
    expect(rows[1]).toMatch(/^1,Biscuit,white saloon,92\.26,93,4\.380\d{3},4,0,no,/);
    const lapRows = (await guest().get(laps)).body.trimEnd().split('\r\n');
    const expected = JSON.parse(readFileSync(new URL(`${club2}.results.json`, data), 'utf8'))[0].rows;
    expect(lapRows).toHaveLength(1 + expected.reduce((sum: number, row: { laps: number }) => sum + row.laps, 0));
  });

  it('are there as plain text of at most twenty lines', async () => {
    const answer = await guest().get(`${meeting}/results.txt`);
    expect(answer.headers['content-type']).toBe('text/plain; charset=utf-8');
    const lines = answer.body.split('\n');
    expect(lines.length).toBeLessThanOrEqual(20);
    expect(lines[0]).toMatch(/^Thursday at the barn, /);
    expect(lines[2]).toBe('1. Biscuit: 92.26 laps, best lap 4.380');
    expect(page).toContain(lines[2]);
  });

  it('of a meeting, race, heat or entry that is not there are not found', async () => {
    for (const path of ['x/results', 'x/results.json', 'x/heats/h1']) {
      expect((await guest().get(`/c/owls/meetings/${path}`)).statusCode, path).toBe(404);
    }
    for (const path of ['races/none/results.csv', 'races/none/laps.csv', 'heats/none', 'entries/none', 'heats/%22']) {
      expect((await guest().get(`${meeting}/${path}`)).statusCode, path).toBe(404);
    }
  });
});

describe('ids with any characters', () => {
  it('stand in addresses that work', async () => {
    for (const name of ['cases/49-laps-ties-fastest-and-ids', 'cases/73-code-points']) {
      const meeting = await open(name);
      const page = await new Visitor(t.app).get(`${meeting}/results`);
      const links = linksOf(page.body).filter((url) => url.startsWith(meeting));
      expect(links.length).toBeGreaterThan(8);
      for (const link of links) {
        expect((await new Visitor(t.app).get(link.replace(/#.*/, ''))).statusCode, `${name} ${link}`).toBe(200);
      }
    }
  });
});

describe('results of a meeting that is still running', () => {
  it('say that they are provisional and who leads', async () => {
    const shown = words((await new Visitor(t.app).get(`${await open(running)}/results`)).body);
    expect(shown).toContain('Pebble leads Quarter finals by 2.39 laps.');
    expect(shown).toContain('Provisional: 1 heat is not confirmed yet.');
  });

  describe('with heats to come', () => {
    let planted: PlantedNight;
    const s = 1_000_000;
    beforeAll(async () => {
      planted = await plantNight(t.db, {
        slug: 'moths',
        lanes: 2,
        drivers: ['Pebble', 'Moss', 'Fern'],
        race: { durationMs: 20_000 },
        heats: [{ lanes: [1, 2], marshals: [3] }, { lanes: [3, 1] }, { lanes: [2, 3] }],
      });
      await planted.press('h1', 'arm', 90 * s);
      await planted.press('h1', 'start', 100 * s);
      await planted.cross([1, 101 * s], [2, 101.5 * s], [1, 107 * s], [2, 109 * s], [1, 113 * s], [2, 117 * s]);
      await planted.press('h1', 'confirm', 125 * s);
      await planted.press('h2', 'arm', 190 * s);
      await planted.press('h2', 'start', 200 * s);
      await planted.cross([1, 201 * s], [2, 201 * s], [1, 206 * s], [1, 211 * s], [1, 216 * s], [2, 210 * s]);
      await planted.press('h2', 'confirm', 225 * s);
    });

    it('compare by the mean of a heat, beside the sum', async () => {
      // Pebble 2 and 1 laps, Moss 2 laps, Fern 3 laps: sums 3.00, 2.00, 3.00; means 1.50, 2.00, 3.00.
      const shown = words((await new Visitor(t.app).get(planted.path('results'))).body);
      expect(shown).toContain('Fern has the best mean per heat in Open: 3.00 laps.');
      expect(shown).toContain('Provisional: 1 heat is still to be run.');
      expect(shown).toContain('Mean per heat after 1 or 2 heats each: the sum alone does not compare them yet.');
      expect(shown).toMatch(/1 Fern 3\.00 3\.00 .* 2 Pebble 3\.00 1\.50 .* 3 Moss 2\.00 2\.00/);
      expect(shown).toContain('ahead of Pebble: better best heat');
    });

    it('are kept as a revision when they change, and only then', async () => {
      const keep = () =>
        t.db.withClub(planted.clubId, async (tx) => {
          const stored = await selectOptionalStoredMeeting(tx, planted.clubId, planted.meetingId);
          if (stored) await recordStandings(tx, planted.clubId, stored);
          return selectStandings(tx, planted.clubId, planted.meetingId);
        });
      const json = async () => (await new Visitor(t.app).get(planted.path('results.json'))).body;
      const [first, ...none] = await keep();
      expect([first?.revision, first?.provisional, none.length]).toEqual([1, false, 0]);
      expect(`[${first?.results}]`).toBe(await json());
      expect(await keep()).toHaveLength(1);
      await planted.rule('h2', { kind: 'adjust', target: { lane: 2 }, value: 50 }, 300 * s);
      expect(`[${first?.results}]`).not.toBe(await json());
      const [, second] = await keep();
      expect([second?.revision, `[${second?.results}]`]).toEqual([2, await json()]);
      expect(words((await new Visitor(t.app).get(planted.path('results'))).body)).toMatch(
        /Revision 2, of .*\d\d:\d\d\./,
      );
    });
  });
});

describe('public results', () => {
  let meeting: string;
  let address: string;
  beforeAll(async () => {
    meeting = await open(club2);
    const page = await director.get(`${meeting}/results`);
    expect(words(page.body)).toContain('These results are not public');
    const [row] = await t.db.readClub('owls', (tx) =>
      tx.execute<{ code: string }>(
        sql`select public_code as code from meeting where id = ${meeting.split('/').at(-1)}`,
      ),
    );
    address = `/r/${row?.code}`;
    await t.db.withClub('owls', (tx) =>
      tx.execute(sql`update driver set public = false where nickname in ('Turnip', 'Thimble')`),
    );
  });
  const publish = (published: 'yes' | 'no') => director.post(`${meeting}/publish`, { published });
  const stranger = () => new Visitor(t.app);

  it('are not there until the director makes them public, and gone at once when they are taken back', async () => {
    for (const path of ['', '/results.json', '/heats/h1', '/entries/e1', '/races/r1/laps.csv', '/results.txt']) {
      const answer = await stranger().get(address + path);
      expect(answer.statusCode, path).toBe(404);
      expect(answer.body).toContain('There are no public results at this address');
    }
    expect((await publish('yes')).statusCode).toBe(303);
    expect((await stranger().get(address)).statusCode).toBe(200);
    await publish('no');
    expect((await stranger().get(address)).statusCode).toBe(404);
    await publish('yes');
    expect((await stranger().get('/r/unknown')).statusCode).toBe(404);
    const guests = words((await stranger().get(`${meeting}/results`)).body);
    expect(guests).toContain('These results are public.');
    expect(guests).not.toContain('Take them back');
  });

  it('show the same results, without a way into the club and without private names', async () => {
    const answer = await stranger().get(address);
    expect(words(answer.body)).toContain('Biscuit wins Barn sprint by 11.91 laps.');
    const all = [answer.body];
    const paths = linksOf(answer.body).map((link) => link.replace(/^https?:\/\/[^/]+/, '').replace(/#.*/, ''));
    expect(paths.filter((path) => !path.startsWith(address) && !/^(\/help|)$/.test(path))).toEqual([]);
    for (const path of new Set(paths.filter((path) => path.startsWith(`${address}/`)))) {
      const sub = await stranger().get(path);
      expect(sub.statusCode, path).toBe(200);
      expect(sub.headers['cache-control'], path).toBe('public, max-age=1');
      expect(sub.headers['set-cookie'], path).toBeUndefined();
      all.push(sub.body);
    }
    expect(all.length).toBeGreaterThan(15);
    for (const body of all) {
      expect(body).not.toMatch(/Turnip|Thimble/);
      expect(body).not.toMatch(/\/c\/owls/);
      expect(body).not.toMatch(/director|timekeeper/);
    }
    expect(all[0]).toMatch(/Driver \d+/);
  });

  it('give search engines nothing, caches a second and browsers no cookie', async () => {
    const { headers, body } = await stranger().get(address);
    expect(headers['x-robots-tag']).toContain('noindex');
    expect(body).toContain('<meta name="robots" content="noindex"');
    expect(headers['cache-control']).toBe('public, max-age=1');
    expect(headers['set-cookie']).toBeUndefined();
    expect(body).not.toContain('csrf');
    expect(body).toContain(`${address}</a>`);
  });

  it('hold the same numbers as inside the club', async () => {
    const inside = JSON.parse((await director.get(`${meeting}/results.json`)).body);
    const outside = JSON.parse((await stranger().get(`${address}/results.json`)).body);
    for (const row of inside[0].rows) row.nickname = '';
    const names = outside[0].rows.map((row: { nickname: string }) => row.nickname);
    for (const row of outside[0].rows) row.nickname = '';
    expect(outside).toEqual(inside);
    expect(names.filter((name: string) => /^Driver \d+$/.test(name))).toHaveLength(2);
  });

  it('are drawn anew after a second', async () => {
    t.clock.advance(2_000_000);
    expect((await stranger().get(address)).body).toContain('Marmalade');
    await t.db.withClub('owls', (tx) => tx.execute(sql`update driver set public = false where nickname = 'Marmalade'`));
    expect((await stranger().get(address)).body).toContain('Marmalade');
    t.clock.advance(1_000_000);
    expect((await stranger().get(address)).body).not.toContain('Marmalade');
  });
});
