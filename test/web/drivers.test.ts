import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { selectDrivers } from '../../server/drivers/store.ts';
import { fields } from '../../views/texts/en/fields.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { emptyClub, expectDirectorOnly, formFields, hostileNames, inHtml } from '../helpers/own-pages.ts';

let t: TestApp;
let director: Visitor;
const list = '/c/owls/drivers';
beforeAll(async () => {
  t = await startTestApp();
  director = (await emptyClub(t)).director;
});
afterAll(() => t.close());

const stored = () => t.db.readClub('owls', (tx) => selectDrivers(tx, 'owls', { archived: true }));
const named = async (nickname: string) => {
  const found = (await stored()).find((driver) => driver.nickname === nickname);
  if (!found) throw new Error(`no driver ${nickname}`);
  return found;
};

test('only the director opens or sends the forms', async () => {
  await expectDirectorOnly(t, 'owls', {
    get: [list, `${list}/new`, `${list}/nobody/edit`],
    post: [`${list}/new`, `${list}/several`, `${list}/nobody/edit`, `${list}/nobody/archive`, `${list}/nobody/restore`],
  });
  expect(await stored()).toEqual([]);
});

test('an empty list says what to do', async () => {
  const page = await director.get(list);
  expect(page.statusCode).toBe(200);
  expect(page.body).toContain('No drivers yet');
  expect(page.body).toContain(`${list}/new`);
});

test('one driver is added, public or not', async () => {
  await director.get(`${list}/new`);
  const added = await director.post(`${list}/new`, { nickname: '  Tin   Comet ', public: 'on' });
  expect(added.statusCode).toBe(303);
  expect((await director.get(String(added.headers.location))).body).toContain('1 driver is added.');
  await director.post(`${list}/new`, { nickname: 'Moth' });
  expect((await stored()).map(({ nickname, public: shown }) => [nickname, shown])).toEqual([
    ['Moth', false],
    ['Tin Comet', true],
  ]);
});

test('a nickname that looks the same is refused, and what was typed comes back', async () => {
  for (const nickname of ['tin comet', 'TINCOMET', 'Tín Cömet', 'Ｔｉｎ Comet']) {
    const answer = await director.post(`${list}/new`, { nickname });
    expect(answer.statusCode, nickname).toBe(422);
    expect(answer.body).toContain('There is a driver “Tin Comet” already.');
    expect(answer.body).toContain(`value="${inHtml(nickname)}"`);
  }
  expect(await stored()).toHaveLength(2);
});

test('hostile names are refused or stand on the page as text', async () => {
  const before = await stored();
  for (const nickname of hostileNames.refused) {
    expect((await director.post(`${list}/new`, { nickname })).statusCode, JSON.stringify(nickname)).toBe(422);
  }
  expect(await stored()).toEqual(before);
  for (const nickname of hostileNames.allowed) {
    expect((await director.post(`${list}/new`, { nickname })).statusCode, nickname).toBe(303);
    const driver = await named(nickname);
    for (const url of [list, `${list}/${driver.id}`, `${list}/${driver.id}/edit`]) {
      const { body } = await director.get(url);
      expect(body, url).toContain(inHtml(nickname));
      expect(body).not.toContain('<img');
    }
  }
});

test('the longest nickname has 24 characters as people count them', async () => {
  expect((await director.post(`${list}/new`, { nickname: '👨‍👩‍👧'.repeat(24) })).statusCode).toBe(303);
  expect((await director.post(`${list}/new`, { nickname: '👨‍👩‍👦'.repeat(25) })).statusCode).toBe(422);
});

test('several at once: all, or none with the line that is wrong', async () => {
  const before = await stored();
  const wrong: [string, string][] = [
    ['Heron\n\nmoth\nLark', 'Line 3: There is a driver “Moth” already.'],
    ['Heron\nLark\nhéron', 'Line 3: “héron” looks the same as the nickname on line 1.'],
    [`Heron\n${'x'.repeat(25)}`, 'Line 2: At most 24 characters.'],
    ['Heron\na\u202eb', 'Line 2: Letters, figures'],
    ['\n \n', 'Type at least one nickname.'],
    [Array.from({ length: 101 }, (_, i) => `D${i}`).join('\n'), 'At most 100 at once.'],
  ];
  for (const [nicknames, sentence] of wrong) {
    const answer = await director.post(`${list}/several`, { nicknames, public: 'on' });
    expect(answer.statusCode, sentence).toBe(422);
    expect(answer.body).toContain(sentence);
    expect(answer.body).toContain(inHtml(nicknames.split('\n')[0] as string));
  }
  expect(await stored()).toEqual(before);
  const added = await director.post(`${list}/several`, { nicknames: 'Heron\r\n\r\n Lark \r\nIbis', public: 'on' });
  expect(added.headers.location).toBe(`${list}?added=3`);
  expect(await stored()).toHaveLength(before.length + 3);
});

test('of two who add the same nickname at once, one is told', async () => {
  const other = await signedIn(t, 'owls', 'director');
  await other.get(list);
  const answers = await Promise.all([director, other].map((v) => v.post(`${list}/new`, { nickname: 'Gannet' })));
  expect(answers.map((answer) => answer.statusCode).sort()).toEqual([303, 422]);
});

test('a driver is changed; a wrong change changes nothing', async () => {
  const { id } = await named('Lark');
  const form = await director.get(`${list}/${id}/edit`);
  expect(form.body).toContain('value="Lark"');
  const taken = await director.post(`${list}/${id}/edit`, { nickname: 'IBIS', public: 'on' });
  expect(taken.statusCode).toBe(422);
  expect(taken.body).toContain('There is a driver “Ibis” already.');
  expect((await named('Lark')).public).toBe(true);
  // The same nickname in other letters is the driver's own.
  expect((await director.post(`${list}/${id}/edit`, { nickname: 'LARK' })).statusCode).toBe(303);
  expect(await named('LARK')).toMatchObject({ id, public: false });
  expect((await director.post(`${list}/nobody/edit`, { nickname: 'Nobody' })).statusCode).toBe(404);
});

test('a driver may be left out of marshal duty, from the start or later, and is then marked in the list', async () => {
  await director.get(`${list}/new`);
  const marked = async () => (await director.get(list)).body.split('no marshal duty').length - 1;
  expect(await marked()).toBe(0);
  expect((await stored()).every(({ marshals }) => marshals)).toBe(true);
  expect((await director.post(`${list}/new`, { nickname: 'Wagtail', marshals: 'no' })).statusCode).toBe(303);
  const { id, marshals } = await named('Wagtail');
  expect(marshals).toBe(false);
  expect(await marked()).toBe(1);

  const edit = `${list}/${id}/edit`;
  const sent = formFields((await director.get(edit)).body, edit);
  expect(sent).toMatchObject({ nickname: 'Wagtail', marshals: 'no' });
  // Saving the form untouched changes nothing; a word that is no choice is refused.
  await director.post(edit, sent);
  expect((await named('Wagtail')).marshals).toBe(false);
  const wrong = await director.post(edit, { ...sent, marshals: 'perhaps' });
  expect(wrong.statusCode).toBe(422);
  expect(wrong.body).toContain(fields.choice);
  expect((await named('Wagtail')).marshals).toBe(false);
  await director.post(edit, { ...sent, marshals: 'yes' });
  expect((await named('Wagtail')).marshals).toBe(true);
  expect(await marked()).toBe(0);
});

test('an archived driver leaves the list, keeps the nickname and comes back', async () => {
  const { id } = await named('Ibis');
  await director.post(`${list}/${id}/archive`);
  expect(await t.db.readClub('owls', (tx) => selectDrivers(tx, 'owls'))).not.toContainEqual(
    expect.objectContaining({ id }),
  );
  expect((await director.get(list)).body).toContain('Archived drivers');
  const again = await director.post(`${list}/new`, { nickname: 'ibis' });
  expect(again.body).toContain('“Ibis” is among the archived drivers.');
  await director.post(`${list}/${id}/restore`);
  expect((await named('Ibis')).archivedAt).toBeNull();
});

test('a suggested nickname belongs to nobody and is only suggested', async () => {
  const before = await stored();
  const page = await director.get(`${list}/new?suggest=1`);
  const nickname = /name="nickname" [^>]*value="([^"]+)"|value="([^"]+)"[^>]*name="nickname"/.exec(page.body);
  expect(nickname?.[1] ?? nickname?.[2]).toMatch(/^[A-Z][a-z]+ [A-Z][a-z]+$/);
  expect(await stored()).toEqual(before);
});

test('a driver’s page shows laps by meeting: all of them counted, the best clean one without flagged laps', async () => {
  const { id } = await named('Heron');
  await t.db.withClub('owls', async (tx) => {
    await tx.execute(sql`insert into track (club_id, id, name, start_mode, hold_roll_us, end_roll_us)
      values ('owls', 't1', 'Attic', 'ahead', 2000000, 2000000)`);
    await tx.execute(sql`insert into car_class (club_id, id, name) values ('owls', 'k1', 'GT')`);
    await tx.execute(sql`insert into meeting
      (club_id, id, track_id, name, date, zone, track_name, track_settings, public_code)
      select 'owls', 'm' || n, 't1', 'Night ' || n, ('2026-0' || n || '-05')::date, 'UTC', 'Attic', '{}', 'p' || n
      from generate_series(1, 2) n`);
    await tx.execute(sql`insert into race
      (club_id, meeting_id, id, ordinal, name, class_id, format, missing, standing_fastest)
      select 'owls', 'm' || n, 'r1', 1, 'Sprint', 'k1', 'time', 'zero', false from generate_series(1, 2) n`);
    await tx.execute(sql`insert into heat (club_id, meeting_id, id, race_id, ordinal)
      select 'owls', 'm' || n, 'h1', 'r1', 1 from generate_series(1, 2) n`);
    await tx.execute(sql`insert into lap
      (club_id, meeting_id, heat_id, lane, n, entry_id, driver_id, duration_us, flags) values
      ('owls', 'm1', 'h1', 1, 1, 'e1', ${id}, 5123456, '{}'), ('owls', 'm1', 'h1', 1, 2, 'e1', ${id}, 4000000, '{split}'),
      ('owls', 'm1', 'h1', 1, 3, 'e1', ${id}, 5999999, '{}'), ('owls', 'm2', 'h1', 2, 1, 'e1', ${id}, 3000000, '{ruled}')`);
  });
  const page = await new Visitor(t.app).get(`${list}/${id}`);
  expect(page.statusCode).toBe(200);
  const text = page.body.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');
  expect(text).toContain('4 laps in 2 meetings.');
  expect(text).toMatch(/Night 2 Feb 5, 2026, Attic 1 – Night 1 Jan 5, 2026, Attic 3 5\.123/);
  expect(page.body).toContain('/c/owls/meetings/m1');
});

test('a nickname that is not public stands only before those who are signed in', async () => {
  const { id } = await named('Moth');
  const outside = await new Visitor(t.app).get(`${list}/${id}`);
  expect(outside.statusCode).toBe(200);
  expect(outside.body).not.toContain('Moth');
  expect(outside.body).toContain('Driver 2');
  expect((await (await signedIn(t, 'owls', 'driver')).get(`${list}/${id}`)).body).toContain('Moth');
});

test('drivers of another club are not found', async () => {
  const { director: other } = await emptyClub(t, 'rooks');
  const { id } = await named('Heron');
  for (const url of [`/c/rooks/drivers/${id}`, `/c/rooks/drivers/${id}/edit`, '/c/owls/drivers/a%00b']) {
    expect((await other.get(url)).statusCode, url).not.toBe(200);
  }
  expect((await other.get(`/c/rooks/drivers/${id}`)).statusCode).toBe(404);
  await other.post(`/c/rooks/drivers/${id}/archive`);
  await other.post(`${list}/${id}/archive`);
  expect((await named('Heron')).archivedAt).toBeNull();
});

test('the director says whether somebody is a junior, and how often he raced elsewhere', async () => {
  await director.get(`${list}/new`);
  const asked = { nickname: 'Otter', paceGroup: 'junior', nightsBefore: '3' };
  expect((await director.post(`${list}/new`, asked)).statusCode).toBe(303);
  const otter = await named('Otter');
  expect(otter).toMatchObject({ paceGroup: 'junior', nightsBefore: 3 });
  const edit = `${list}/${otter.id}/edit`;
  const wrongs = [{ nightsBefore: '-1' }, { nightsBefore: '1e3' }, { nightsBefore: '2.5' }, { paceGroup: 'child' }];
  for (const wrong of wrongs) {
    expect((await director.post(edit, { ...asked, ...wrong })).statusCode, JSON.stringify(wrong)).toBe(422);
  }
  expect(await named('Otter')).toEqual(otter);
  // A form that does not ask changes neither.
  await director.post(edit, { nickname: 'Otter' });
  expect(await named('Otter')).toMatchObject({ paceGroup: 'junior', nightsBefore: 3 });
  await director.post(edit, { nickname: 'Otter', paceGroup: '', nightsBefore: '0' });
  expect(await named('Otter')).toMatchObject({ paceGroup: null, nightsBefore: 0 });
});
