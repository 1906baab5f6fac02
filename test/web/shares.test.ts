import { and, eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { car, carClass, driver as driverTable, share } from '../../db/schema/index.ts';
import { addProfile, mostProfiles } from '../../server/profiles/actions.ts';
import { selectChoices } from '../../server/profiles/choices-store.ts';
import { setupHash } from '../../server/profiles/exchange/setup-hash.ts';
import { readShared, sharedText } from '../../server/profiles/exchange/shared-file.ts';
import { shortCode } from '../../server/profiles/exchange/short-code.ts';
import type { Profile } from '../../server/profiles/model/profile.ts';
import { selectProfiles, selectVersions } from '../../server/profiles/store.ts';
import { Visitor as Browser, signedIn, startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { plantNight } from '../helpers/planted-night.ts';
import { profileWith } from '../helpers/profile-forms.ts';
import { pressTwice } from '../helpers/twice.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

let clubs = 0;

/** A club of its own for each test, with two drivers who are signed in, and a profile of the first. */
async function club(set: Partial<Profile> = {}) {
  clubs += 1;
  const slug = `share${clubs}`;
  await plantNight(t.db, { slug, lanes: 3, drivers: ['Brisk Otter', 'Lucky Fern'], heats: [{ lanes: [1, 2] }] });
  await t.db.withClub(slug, async (tx) => {
    await tx.insert(carClass).values({ clubId: slug, id: 'gt', name: 'GT' });
    await tx.insert(car).values({ clubId: slug, id: 'blue', name: 'Blue one', classId: 'gt', driverId: 'd1' });
  });
  const sign = (driverId: string, label: string) => signedIn(t, slug, 'driver', { driverId, meetingId: 'm1', label });
  const otter = await sign('d1', 'Brisk Otter');
  const fern = await sign('d2', 'Lucky Fern');
  const director = await signedIn(t, slug, 'director');
  const made = await t.db.withClub(slug, (tx) =>
    addProfile(tx, slug, {
      driverId: 'd1',
      carId: 'blue',
      trackId: null,
      setup: profileWith({ name: 'Attic', notes: 'For the long room.', ...set }),
      note: '',
      author: 'Brisk Otter',
      origin: null,
    }),
  );
  const page = `/c/${slug}/profiles/${(made as { id: string }).id}`;
  const receive = `/c/${slug}/drivers/d2/profiles/receive`;
  for (const who of [otter, director]) await who.get(`${page}/share`);
  await fern.get(receive);
  return { slug, otter, fern, director, page, receive, profileId: (made as { id: string }).id };
}

const stranger = () => new Browser(t.app);
const rows = (slug: string) => t.db.readClub(slug, (tx) => tx.select().from(share).where(eq(share.clubId, slug)));
const profilesOf = (slug: string, driverId = 'd2') =>
  t.db.readClub(slug, (tx) => selectProfiles(tx, slug, driverId, { archived: true }));

/** The code of the link that was made last. */
async function link(by: Visitor, slug: string, page: string, fields: Record<string, string> = {}): Promise<string> {
  const answer = await by.post(`${page}/share/link`, { version: '1', ...fields });
  expect(answer.statusCode, answer.body).toBe(303);
  return (await rows(slug)).find(({ code, open }) => code !== null && open)?.code ?? '';
}

describe('a link', () => {
  test('shows a copy to anyone, with nothing of its driver but what was ticked', async () => {
    const { slug, otter, page } = await club();
    const code = await link(otter, slug, page);
    expect(code).toMatch(/^[A-Za-z0-9_-]{24}$/);
    const answer = await stranger().get(`/s/${code}`);
    expect(answer.statusCode).toBe(200);
    expect(answer.headers['x-robots-tag']).toContain('noindex');
    expect(answer.headers['cache-control']).toBe('no-store');
    for (const word of ['Attic', 'For the long room.', 'Blue one', 'GT', shortCode(profileWith())]) {
      expect(answer.body).toContain(word);
    }
    for (const word of ['Brisk Otter', 'd1', '/drivers/']) expect(answer.body).not.toContain(word);

    const [row] = await rows(slug);
    expect(row).toMatchObject({ author: null, carName: 'Blue one', className: 'GT', version: 1 });
    expect(row?.sharedOn).toMatch(/^\d{4}-\d\d-\d\d$/);
  });

  test('is opened once by a double press', async () => {
    const { slug, otter, page } = await club();
    const opened = await pressTwice(otter, `${page}/share`, `${page}/share/link`, { version: '1', endsOn: '' });
    expect(opened).toBe(`${page}/share?version=1&done=link#links`);
    expect(await rows(slug)).toHaveLength(1);
  });

  test('names its owner where that was ticked, on the page of the link alone', async () => {
    const { slug, otter, page } = await club();
    const code = await link(otter, slug, page, { named: 'on' });
    expect((await stranger().get(`/s/${code}`)).body).toContain('From Brisk Otter.');
    const file = (await stranger().get(`/s/${code}/profile.json`)).body;
    expect(file).not.toContain('Otter');
  });

  test('names its owner as he is called today', async () => {
    const { slug, otter, page } = await club();
    const code = await link(otter, slug, page, { named: 'on' });
    await t.db.withClub(slug, (tx) =>
      tx
        .update(driverTable)
        .set({ nickname: 'Quick Newt', nicknameKey: 'quicknewt' })
        .where(and(eq(driverTable.clubId, slug), eq(driverTable.id, 'd1'))),
    );
    const shown = [(await stranger().get(`/s/${code}`)).body, (await otter.get(`${page}/share`)).body];
    for (const body of shown) {
      expect(body).toContain('Quick Newt');
      expect(body).not.toContain('From Brisk Otter');
    }
  });

  test('its file is the shared form, by a name of its own', async () => {
    const { slug, otter, page } = await club({ name: 'Attic/"<x>' });
    const code = await link(otter, slug, page);
    for (const address of [`/s/${code}/profile.json`, `${page}/profile.json`]) {
      const answer = await otter.get(address);
      expect(answer.headers['content-type']).toBe('application/json; charset=utf-8');
      expect(answer.headers['content-disposition']).toMatch(
        /^attachment; filename="attic-x\.json"; filename\*=UTF-8''/,
      );
      expect(readShared(answer.rawPayload).profile.name).toBe('Attic/"<x>');
    }
  });

  test('stays what it was when the profile changes', async () => {
    const { slug, otter, page, profileId } = await club();
    const code = await link(otter, slug, page);
    await t.db.withClub(slug, async (tx) => {
      const { addVersion } = await import('../../server/profiles/actions.ts');
      await addVersion(tx, slug, profileId, {
        setup: profileWith({ name: 'Secret', pwmHz: 777 }),
        note: '',
        author: 'x',
        origin: null,
      });
    });
    const { body } = await stranger().get(`/s/${code}`);
    expect(body).toContain('Attic');
    expect(body).not.toContain('Secret');
    // The newer one can be shared too, and is named by its number.
    await link(otter, slug, page, { version: '2' });
    expect((await otter.get(`${page}/share?version=2`)).body).toContain('Secret');
  });

  test('that was taken back is gone, for everybody and at once', async () => {
    const { slug, otter, page } = await club();
    const code = await link(otter, slug, page);
    const [row] = await rows(slug);
    const back = await otter.post(`${page}/share/${row?.id}/withdraw`);
    expect(back.headers.location).toBe(`${page}/share?done=back`);
    for (const path of ['', '/profile.json']) {
      const answer = await stranger().get(`/s/${code}${path}`);
      expect(answer.statusCode).toBe(404);
      expect(answer.body).toContain('not shared any more');
      expect(answer.body).not.toContain('Attic');
    }
    expect((await stranger().get('/s/nothing')).statusCode).toBe(404);
    expect((await otter.get(`${page}/share`)).body).toContain('No open links.');
  });

  test('ends with its last day, in the zone of the club', async () => {
    const { slug, otter, page } = await club();
    const [day] = new Date(t.clock.nowUs() / 1000).toISOString().split('T');
    const past = await otter.post(`${page}/share/link`, { version: '1', endsOn: '2001-01-01' });
    expect(past.statusCode).toBe(422);
    expect(past.body).toContain('That day is over.');
    const code = await link(otter, slug, page, { endsOn: day as string });
    expect((await stranger().get(`/s/${code}`)).statusCode).toBe(200);
    t.clock.advance(2 * 86_400_000_000);
    expect((await stranger().get(`/s/${code}`)).statusCode).toBe(404);
    expect((await otter.get(`${page}/share`)).body).toContain('Ended: the last day was');
  });
});

describe('rights', () => {
  test('with a code that cannot be one is no link, and no fault of the server', async () => {
    const { slug, fern, receive } = await club();
    for (const url of ['/s/%00', '/s/a%00b/profile.json', `${receive}?link=%00`, `${receive}?entry=a%00b`]) {
      expect((await fern.get(url)).statusCode, url).toBe(404);
    }
    await fern.get(receive);
    for (const kind of ['link', 'entry']) {
      expect((await fern.post(`${receive}/look`, { kind, value: 'a\u0000b' })).statusCode, kind).toBe(422);
    }
    expect(await profilesOf(slug)).toEqual([]);
  });

  test('nobody shares, sees or takes back what is another driver’s', async () => {
    const { slug, otter, fern, page } = await club();
    await link(otter, slug, page);
    const [row] = await rows(slug);
    const timekeeper = await signedIn(t, slug, 'timekeeper');
    for (const who of [fern, timekeeper, stranger()]) {
      for (const address of [`${page}/share`, `${page}/profile.json`]) {
        expect((await who.get(address)).statusCode).toBe(403);
      }
      for (const [address, fields] of [
        [`${page}/share/link`, { version: '1' }],
        [`${page}/share/library`, { version: '1' }],
        [`${page}/share/${row?.id}/withdraw`, {}],
      ] as const) {
        expect((await who.post(address, fields)).statusCode).toBe(403);
      }
    }
    expect(await rows(slug)).toMatchObject([{ open: true }]);
  });

  test('a link is taken back through its own profile only', async () => {
    const { slug, otter, fern, page } = await club();
    await link(otter, slug, page);
    const [row] = await rows(slug);
    const own = await t.db.withClub(slug, (tx) =>
      addProfile(tx, slug, {
        driverId: 'd2',
        carId: null,
        trackId: null,
        setup: profileWith(),
        note: '',
        author: 'x',
        origin: null,
      }),
    );
    await fern.post(`/c/${slug}/profiles/${(own as { id: string }).id}/share/${row?.id}/withdraw`);
    expect(await rows(slug)).toMatchObject([{ open: true }]);
  });

  test('nobody receives for another driver; a director says for whom', async () => {
    const { slug, otter, director, receive } = await club();
    const text = sharedText(profileWith());
    for (const path of ['', '/look', '/keep']) {
      const answer = await otter.post(`${receive}${path}`, { typed: text, kind: 'file', value: text, name: 'x' });
      expect(answer.statusCode).toBe(403);
    }
    expect((await otter.get(receive)).statusCode).toBe(403);
    expect(await profilesOf(slug)).toHaveLength(0);
    const whom = await director.get(`/c/${slug}/profiles/receive?link=abc`);
    expect(whom.body).toContain('/drivers/d2/profiles/receive?link=abc');
    expect((await otter.get(`/c/${slug}/profiles/receive?entry=abc`)).headers.location).toBe(
      `/c/${slug}/drivers/d1/profiles/receive?entry=abc`,
    );
  });

  test('somebody who does not want to stand on public pages is named by nobody else', async () => {
    const { slug, otter, director, page } = await club();
    await t.db.withClub(slug, (tx) =>
      tx.update(driverTable).set({ public: false }).where(eq(driverTable.clubId, slug)),
    );
    await director.post(`${page}/share/link`, { version: '1', named: 'on' });
    expect(await rows(slug)).toMatchObject([{ author: null }]);
    expect((await director.get(`${page}/share`)).body).not.toContain('With the name');
    expect((await otter.get(`${page}/share`)).body).toContain('With the name');
  });
});

describe('receiving', () => {
  const keep = (who: Visitor, receive: string, kind: string, value: string, more: Record<string, string> = {}) =>
    who.post(`${receive}/keep`, { kind, value, name: 'Kept', carId: '', trackId: '', ...more });

  test('a code is looked at, then kept as a new profile that is not dialled in', async () => {
    const { slug, fern, receive } = await club();
    const setup = profileWith({ brakeFull: 640 });
    const look = await fern.post(receive, { typed: shortCode(setup, 'Long room').toLowerCase() });
    expect(look.statusCode, look.body).toBe(200);
    expect(look.body).toContain('Keep Long room?');
    expect(await profilesOf(slug)).toHaveLength(0);
    const value = /name="value" value="([^"]*)"/.exec(look.body)?.[1] as string;
    const kept = await keep(fern, receive, 'code', value, { trackId: 't1' });
    expect(kept.statusCode, kept.body).toBe(303);
    const [profile, ...more] = await profilesOf(slug);
    expect(more).toEqual([]);
    expect(kept.headers.location).toBe(`/c/${slug}/profiles/${profile?.id}?saved=1`);
    expect(profile).toMatchObject({ trackId: 't1', setup: { ...setup, name: 'Kept' } });
    const [version] = await t.db.readClub(slug, (tx) => selectVersions(tx, slug, profile?.id ?? ''));
    expect(version).toMatchObject({ origin: { via: 'code', hash: setupHash(setup) }, author: 'Lucky Fern' });
    expect(version?.origin?.from).toBeUndefined();
    expect(await t.db.readClub(slug, (tx) => selectChoices(tx, slug, 'd2'))).toEqual([]);
  });

  test('a link, pasted whole, says whose it was and which version', async () => {
    const { slug, otter, fern, page, receive } = await club();
    const code = await link(otter, slug, page, { named: 'on' });
    const look = await fern.post(receive, { typed: ` https://elsewhere.example/s/${code}?x=1 ` });
    expect(look.body).toContain('Keep Attic?');
    expect((await keep(fern, receive, 'link', code)).statusCode).toBe(303);
    const [profile] = await profilesOf(slug);
    const [version] = await t.db.readClub(slug, (tx) => selectVersions(tx, slug, profile?.id ?? ''));
    expect(version).toMatchObject({
      origin: { via: 'share', from: 'Brisk Otter', version: 1 },
      setup: { notes: 'For the long room.' },
    });
  });

  test('a profile that is kept with a double press is kept once', async () => {
    const { slug, otter, fern, page, receive } = await club();
    const code = await link(otter, slug, page);
    const fields = { kind: 'link', value: code, name: 'Kept', carId: '', trackId: '' };
    const kept = await pressTwice(fern, `${receive}?link=${code}`, `${receive}/keep`, fields);
    const [profile, ...more] = await profilesOf(slug);
    expect(more).toEqual([]);
    expect(kept).toBe(`/c/${slug}/profiles/${profile?.id}?saved=1`);
  });

  test('a link that is taken back between the look and the keeping is not kept', async () => {
    const { slug, otter, fern, page, receive } = await club();
    const code = await link(otter, slug, page);
    expect((await fern.get(`${receive}?link=${code}`)).body).toContain('Keep Attic?');
    const [row] = await rows(slug);
    await otter.post(`${page}/share/${row?.id}/withdraw`);
    const late = await keep(fern, receive, 'link', code);
    expect(late.statusCode).toBe(422);
    expect(late.body).toContain('not open any more');
    expect((await fern.get(`${receive}?link=${code}`)).statusCode).toBe(404);
    expect(await profilesOf(slug)).toHaveLength(0);
  });

  test('what lifts a limiter is said before it is kept', async () => {
    const { slug, fern, receive } = await club();
    await t.db.withClub(slug, (tx) =>
      addProfile(tx, slug, {
        driverId: 'd2',
        carId: null,
        trackId: null,
        setup: profileWith({ name: 'Careful', maxDrive: 700 }),
        note: '',
        author: 'x',
        origin: null,
      }),
    );
    const strong = await fern.post(receive, { typed: shortCode(profileWith()) });
    expect(strong.body).toContain('This lifts your maximum drive');
    expect(strong.body).toMatch(/Maximum drive is 100\s%; in Careful it is 70\s%\./);
    const weak = await fern.post(receive, { typed: shortCode(profileWith({ maxDrive: 700 })) });
    expect(weak.body).not.toContain('This lifts your maximum drive');
    const alone = await fern.post(`${receive}/look`, { kind: 'code', value: shortCode(profileWith()), with: 'none' });
    expect(alone.body).not.toContain('This lifts your maximum drive');
  });

  test.each([
    ['a damaged code', 'CP1-2051Y-G500F-M0000-4P3X0-S09F4-9E', 'mistake in it'],
    ['no code at all', 'hello', 'no profile code'],
    ['nothing', '   ', 'or choose a file'],
    ['a file with a calibration', sharedText(profileWith()).replace('"v":1', '"v":1,"pressed":9'), 'calibration'],
    ['a link of elsewhere', `https://elsewhere.example/s/${'x'.repeat(24)}`, 'another server'],
  ])('%s changes nothing', async (_, typed, sentence) => {
    const { slug, fern, receive } = await club();
    const answer = await fern.post(receive, { typed });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain(sentence);
    expect(await profilesOf(slug)).toHaveLength(0);
  });

  test('a file is looked at and kept; bad ones name what is wrong and change nothing', async () => {
    const { slug, fern, receive } = await club();
    const good = sharedText(profileWith({ name: 'From a file', notes: 'x < y' }));
    const bytesOf = (text: string) => new TextEncoder().encode(text);
    const send = (bytes: Uint8Array) => fern.upload(`${receive}/file`, 'file', { name: 'p.json', bytes });
    const bad: [Uint8Array, string, number][] = [
      [bytesOf(good.padEnd(16_385)), 'too long', 422],
      [bytesOf(good.padEnd(100_000)), 'too long', 413],
      [bytesOf(`\ufeff${good}`), 'UTF-8', 422],
      [bytesOf(good.slice(1)), 'no JSON', 422],
      [bytesOf(good.replace('"v":1', '"v":1,"v":1')), 'twice', 422],
      [bytesOf(good.replace('"minDrive":80', '"minDrive":-0')), 'out of its range', 422],
      [bytesOf(good.replace('"minDrive":80', '"minDrive":601')), 'minimum drive', 422],
      [bytesOf(good.replace('"minDrive":80', '"minDrive":80,"x":1')), 'belongs in no profile', 422],
      [bytesOf(good.replace('"v":1', '"v":2')), 'version 1', 422],
      [bytesOf(good.replace('"v":1', '"v":1,"calibration":{}')), 'calibration', 422],
      [bytesOf(good.replace('"v":1', '"v":[[[[[[1]]]]]]')), 'nested', 422],
      [bytesOf(good.replace('From a file', 'a\u202eb')), 'turn other text around', 422],
      [bytesOf(good.replace('"minDrive":80', '"minDrive":90')), 'do not match its hash', 422],
      [new Uint8Array(), 'Choose a file.', 422],
    ];
    for (const [bytes, sentence, status] of bad) {
      const answer = await send(bytes);
      expect([answer.statusCode, answer.body.includes(sentence)], sentence).toEqual([status, true]);
    }
    expect(await profilesOf(slug)).toHaveLength(0);

    t.clock.advance(61_000_000);
    const look = await send(bytesOf(JSON.stringify(JSON.parse(good), null, 2)));
    expect(look.body).toContain('Keep From a file?');
    expect(look.body).toContain('x &lt; y');
    expect((await keep(fern, receive, 'file', good)).statusCode).toBe(303);
    // What the page carried is looked at again.
    expect((await keep(fern, receive, 'file', good.replace('"pwmHz":2000', '"pwmHz":1'))).statusCode).toBe(422);
    expect((await keep(fern, receive, 'link', good)).statusCode).toBe(422);
    expect((await keep(fern, receive, 'library', good)).statusCode).toBe(422);
    expect(await profilesOf(slug)).toHaveLength(1);
  });

  test('a name is text, in every place', async () => {
    const name = '<script>alert(1)</script>"\'&';
    const { slug, otter, fern, page, receive } = await club({ name, notes: '<img src=x>' });
    const code = await link(otter, slug, page, { named: 'on' });
    await otter.post(`${page}/share/library`, { version: '1' });
    const entry = (await rows(slug)).find((row) => row.code === null);
    const pages = [
      await stranger().get(`/s/${code}`),
      await stranger().get(`/c/${slug}/library`),
      await stranger().get(`/c/${slug}/library/${entry?.id}`),
      await otter.get(`${page}/share`),
      await fern.get(`${receive}?link=${code}`),
    ];
    for (const { statusCode, body } of pages) {
      expect(statusCode).toBe(200);
      expect(body).toContain('&lt;script>alert(1)');
      expect(body).not.toContain('<script>alert');
      expect(body).not.toContain('<img src=x');
    }
  });

  test('20 a minute and session, and no more', async () => {
    const { slug, otter, fern, receive } = await club();
    t.clock.advance(61_000_000);
    for (let i = 0; i < 20; i++) expect((await fern.post(receive, { typed: `CP1-${i}` })).statusCode).toBe(422);
    const more = await fern.post(receive, { typed: 'CP1' });
    expect(more.statusCode).toBe(429);
    expect(more.body).toContain('wait a minute');
    expect((await otter.post(receive.replace('d2', 'd1'), { typed: 'CP1' })).statusCode).toBe(422);
    for (let i = 0; i < 20; i++) {
      expect((await keep(fern, receive, 'code', shortCode(profileWith()))).statusCode).toBe(303);
    }
    expect((await keep(fern, receive, 'code', shortCode(profileWith()))).statusCode).toBe(429);
    t.clock.advance(61_000_000);
    expect((await keep(fern, receive, 'code', shortCode(profileWith()))).statusCode).toBe(303);
    expect(await profilesOf(slug)).toHaveLength(21);
  });

  test(`nobody keeps more than ${mostProfiles}`, async () => {
    const { slug, fern, receive } = await club();
    t.clock.advance(61_000_000);
    await t.db.withClub(slug, async (tx) => {
      for (let i = 0; i < mostProfiles; i++) {
        await addProfile(tx, slug, {
          driverId: 'd2',
          carId: null,
          trackId: null,
          setup: profileWith(),
          note: '',
          author: 'x',
          origin: null,
        });
      }
    });
    const full = await keep(fern, receive, 'code', shortCode(profileWith()));
    expect(full.statusCode).toBe(422);
    expect(full.body).toContain('no more can be kept');
    expect(await profilesOf(slug)).toHaveLength(mostProfiles);
  });
});
