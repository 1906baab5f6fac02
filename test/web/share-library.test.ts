import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { car, carClass, carMotor, share } from '../../db/schema/index.ts';
import { addProfile } from '../../server/profiles/actions.ts';
import { readShared } from '../../server/profiles/exchange/shared-file.ts';
import { presets } from '../../server/profiles/motor/motor.ts';
import { selectProfiles, selectVersions } from '../../server/profiles/store.ts';
import { mostShares } from '../../server/shares/actions.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { plantNight } from '../helpers/planted-night.ts';
import { profileWith } from '../helpers/profile-forms.ts';
import { pressTwice } from '../helpers/twice.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

let clubs = 0;

/** A club of its own for each test; two drivers with a profile each, of which the first is for a car with a motor. */
async function club() {
  clubs += 1;
  const slug = `library${clubs}`;
  await plantNight(t.db, { slug, lanes: 3, drivers: ['Brisk Otter', 'Lucky Fern'], heats: [{ lanes: [1, 2] }] });
  const ids = await t.db.withClub(slug, async (tx) => {
    await tx.insert(carClass).values({ clubId: slug, id: 'gt', name: 'GT' });
    await tx.insert(car).values({ clubId: slug, id: 'blue', name: 'Blue one', classId: 'gt', driverId: 'd1' });
    await tx.insert(carMotor).values({ clubId: slug, carId: 'blue', motor: { ...presets.strong } });
    const add = async (driverId: string, carId: string | null, name: string) => {
      const setup = profileWith({ name });
      const made = await addProfile(tx, slug, {
        driverId,
        carId,
        trackId: null,
        setup,
        note: '',
        author: driverId,
        origin: null,
      });
      return (made as { id: string }).id;
    };
    return { otter: await add('d1', 'blue', 'Attic'), fern: await add('d2', null, 'Cellar') };
  });
  const sign = async (driverId: string, page: string) => {
    const visitor = await signedIn(t, slug, 'driver', { driverId, meetingId: 'm1', label: driverId });
    await visitor.get(`${page}/share`);
    return visitor;
  };
  const pages = { otter: `/c/${slug}/profiles/${ids.otter}`, fern: `/c/${slug}/profiles/${ids.fern}` };
  const otter = await sign('d1', pages.otter);
  const fern = await sign('d2', pages.fern);
  const director = await signedIn(t, slug, 'director');
  await director.get(`/c/${slug}/library`);
  return { slug, ids, pages, otter, fern, director, list: `/c/${slug}/library` };
}

const rows = (slug: string) => t.db.readClub(slug, (tx) => tx.select().from(share).where(eq(share.clubId, slug)));

describe('the library', () => {
  test('shows everybody what was given, and nothing else', async () => {
    const { slug, pages, otter, list } = await club();
    const stranger = new Visitor(t.app);
    expect((await stranger.get(list)).body).toContain('Nothing here yet');
    const given = await otter.post(`${pages.otter}/share/library`, { version: '1', named: 'on' });
    expect(given.headers.location).toBe(`${pages.otter}/share?version=1&done=library#library`);
    const { body } = await stranger.get(list);
    for (const word of ['Attic', 'Brisk Otter', 'Blue one', 'GT', 'like strong 1/24']) expect(body).toContain(word);
    expect(body).not.toContain('Cellar');
    expect(body).not.toContain('/drivers/');

    const [entry] = await rows(slug);
    expect(entry?.code).toBeNull();
    const page = await stranger.get(`${list}/${entry?.id}`);
    expect(page.statusCode).toBe(200);
    for (const word of ['Attic', 'From Brisk Otter.', 'CP1-2051Y', 'like strong 1/24'])
      expect(page.body).toContain(word);
    for (const word of ['/drivers/', 'take-out', 'Take it out']) expect(page.body).not.toContain(word);
    const file = await stranger.get(`${list}/${entry?.id}/profile.json`);
    expect(readShared(file.rawPayload).profile).toEqual(profileWith({ name: 'Attic' }));
  });

  test('shows what is asked for', async () => {
    const { pages, otter, fern, list } = await club();
    await otter.post(`${pages.otter}/share/library`, { version: '1' });
    await fern.post(`${pages.fern}/share/library`, { version: '1' });
    const shown = async (query: string) => {
      const { statusCode, body } = await otter.get(`${list}?${query}`);
      expect(statusCode).toBe(200);
      return ['Attic', 'Cellar'].filter((name) => body.includes(`<bdi>${name}</bdi>`));
    };
    expect(await shown('')).toEqual(['Attic', 'Cellar']);
    expect(await shown('car=Blue+one&sort=name')).toEqual(['Attic']);
    expect(await shown('class=GT&motor=strong')).toEqual(['Attic']);
    expect(await shown('motor=mild')).toEqual([]);
    expect(await shown('sort=nonsense&page=77&car=')).toEqual(['Attic', 'Cellar']);
  });

  test('the same version once; a link beside it is another matter', async () => {
    const { slug, pages, otter } = await club();
    await otter.post(`${pages.otter}/share/library`, { version: '1' });
    const twice = await otter.post(`${pages.otter}/share/library`, { version: '1' });
    expect(twice.statusCode).toBe(422);
    expect(twice.body).toContain('in the library already');
    expect((await otter.post(`${pages.otter}/share/library`, { version: '2' })).statusCode).toBe(404);
    expect((await otter.post(`${pages.otter}/share/link`, { version: '1' })).statusCode).toBe(303);
    expect(await rows(slug)).toHaveLength(2);
  });

  test('is given a version once by a double press', async () => {
    const { slug, pages, otter } = await club();
    const share = `${pages.otter}/share`;
    const given = await pressTwice(otter, share, `${share}/library`, { version: '1' });
    expect(given).toBe(`${share}?version=1&done=library#library`);
    expect(await rows(slug)).toHaveLength(1);
  });

  test('an entry is kept by another driver as theirs, and says where it came from', async () => {
    const { slug, pages, otter, fern, list } = await club();
    await otter.post(`${pages.otter}/share/library`, { version: '1', named: 'on' });
    const [entry] = await rows(slug);
    const way = await fern.get(`/c/${slug}/profiles/receive?entry=${entry?.id}`);
    const look = await fern.get(String(way.headers.location));
    expect(look.body).toContain('Keep Attic?');
    const kept = await fern.post(`/c/${slug}/drivers/d2/profiles/receive/keep`, {
      kind: 'entry',
      value: entry?.id ?? '',
      name: 'Attic',
      carId: '',
      trackId: '',
    });
    expect(kept.statusCode).toBe(303);
    const own = await t.db.readClub(slug, (tx) => selectProfiles(tx, slug, 'd2'));
    const received = own.find(({ setup }) => setup.name === 'Attic');
    const versions = await t.db.readClub(slug, (tx) => selectVersions(tx, slug, received?.id ?? ''));
    expect(versions).toMatchObject([{ origin: { via: 'library', from: 'Brisk Otter', version: 1 } }]);
    const page = await fern.get(`/c/${slug}/profiles/${received?.id}`);
    expect(page.body).toContain('From Brisk Otter’s version 1, settings unchanged.');
    expect((await otter.get(`${list}/${entry?.id}`)).body).toContain('Take it out');
  });

  test('is cleared by its owner and by a director, and by nobody else', async () => {
    const { slug, pages, otter, fern, director, list } = await club();
    await otter.post(`${pages.otter}/share/library`, { version: '1' });
    const [entry] = await rows(slug);
    const out = `${list}/${entry?.id}/take-out`;
    for (const who of [fern, new Visitor(t.app), await signedIn(t, slug, 'timekeeper')]) {
      expect((await who.post(out)).statusCode).toBe(403);
    }
    expect(await rows(slug)).toMatchObject([{ open: true }]);
    expect((await director.post(out)).headers.location).toBe(list);
    expect((await otter.get(`${list}/${entry?.id}`)).statusCode).toBe(404);
    expect((await director.post(out)).statusCode).toBe(404);
    await otter.post(`${pages.otter}/share/library`, { version: '1' });
    const again = (await rows(slug)).find(({ open }) => open);
    const back = await otter.post(`${pages.otter}/share/${again?.id}/withdraw`, { from: 'library' });
    expect(back.headers.location).toBe(`${pages.otter}/share?done=out`);
    expect((await otter.get(list)).body).toContain('Nothing here yet');
  });

  test(`holds ${mostShares} with the links of a club; those that ended do not count`, async () => {
    const { slug, ids, pages, otter, fern, list } = await club();
    await t.db.withClub(slug, async (tx) => {
      const row = { clubId: slug, profileId: ids.otter, version: 1, hash: 'x', carName: 'Blue one', className: 'GT' };
      const copy = (i: number) => ({
        ...row,
        setup: { ...profileWith({ name: `Copy ${i}` }) } as never,
        id: `copy${i}`,
        sharedOn: '2026-01-01',
        endsOn: i === 0 ? '2026-01-02' : null,
        code: i < 2 ? `code-${slug}-${i}` : null,
      });
      const copies = Array.from({ length: mostShares }, (_, i) => copy(i));
      await tx.insert(share).values(copies);
    });
    const started = performance.now();
    const page = await otter.get(`${list}?page=40`);
    expect(page.body).toContain('Page 40 of 40');
    expect(performance.now() - started).toBeLessThan(5_000);
    expect((await otter.post(`${pages.otter}/share/link`, { version: '1' })).statusCode).toBe(303);
    const full = await otter.post(`${pages.otter}/share/link`, { version: '1' });
    expect(full.statusCode).toBe(422);
    expect(full.body).toContain('no more are possible');
    expect((await fern.post(`${pages.fern}/share/library`, { version: '1' })).statusCode).toBe(422);
    expect(await rows(slug)).toHaveLength(mostShares + 1);
  });
});
