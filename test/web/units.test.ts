import { eq, sql } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { controllerUnit, driver } from '../../db/schema/index.ts';
import { ownDeviceHours } from '../../server/accounts/actions.ts';
import { insertTrack } from '../../server/tracks/store.ts';
import { mostUnitsOfDriver } from '../../server/units/actions.ts';
import { selectCalibrations } from '../../server/units/calibration-store.ts';
import { selectOptionalUnit, selectUnits, type UnitKey } from '../../server/units/store.ts';
import { signedIn, startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { SimulatedController } from '../helpers/controller.ts';
import { emptyClub, formFields, hostileNames, inHtml } from '../helpers/own-pages.ts';
import { readingsOf } from '../helpers/trigger-strokes.ts';
import { pressTwice } from '../helpers/twice.ts';

let t: TestApp;
let director: Visitor;
/** Drives d1. */
let otter: Visitor;
const list = '/c/owls/units';
beforeAll(async () => {
  t = await startTestApp();
  director = (await emptyClub(t)).director;
  await t.db.withClub('owls', async (tx) => {
    await tx.insert(driver).values([
      { clubId: 'owls', id: 'd1', nickname: 'Otter', nicknameKey: 'otter' },
      { clubId: 'owls', id: 'd2', nickname: 'Heron', nicknameKey: 'heron' },
    ]);
    await insertTrack(
      tx,
      { clubId: 'owls', id: 't1', name: 'Attic', startMode: 'ahead', holdRollUs: 0, endRollUs: 0 },
      [{ number: 1, colour: '#cc79a7', pattern: 'solid', lengthMm: 9000, minLapUs: 2_000_000 }],
    );
  });
  otter = await signedIn(t, 'owls', 'driver', { driverId: 'd1', label: 'Otter' });
});
afterAll(() => t.close());

const all = () => t.db.readClub('owls', (tx) => selectUnits(tx, 'owls'));
const unitAt = (key: UnitKey) => t.db.readClub('owls', (tx) => selectOptionalUnit(tx, key));

/** Adds a unit through its form. */
async function newUnit(by: Visitor, fields: Record<string, string> = {}): Promise<{ key: UnitKey; url: string }> {
  await by.get(`${list}/new`);
  const answer = await by.post(`${list}/new`, { name: 'Red grip', holder: '', ...fields });
  expect(answer.statusCode, answer.body).toBe(303);
  const url = String(answer.headers.location);
  return { key: { clubId: 'owls', id: url.split('/').at(-1) ?? '' }, url };
}

const strokes = readingsOf({ bits: 12, rest: 1200, travel: 683, restSamples: 60, noise: 1 });
const wrapped = readingsOf({ bits: 12, rest: 3900, travel: 600, restSamples: 60 });

/** Sends readings through the form, as typed in. */
async function paste(by: Visitor, url: string, readings: typeof strokes, more: Record<string, string | Blob> = {}) {
  await by.get(`${url}/check`);
  const form = new FormData();
  const fields = {
    bits: String(readings.bits),
    restSamples: String(readings.restSamples),
    counts: readings.counts.join(' '),
  };
  for (const [name, value] of Object.entries({ ...fields, ...more })) form.set(name, value);
  return by.uploadForm(`${url}/check`, form);
}

describe('who may', () => {
  test('nobody but the director and drivers', async () => {
    const { url } = await newUnit(director);
    for (const visitor of [await signedIn(t, 'owls', 'timekeeper'), await signedIn(t, 'owls', 'driver')]) {
      for (const path of ['', '/sheet', '/check', '/check/state', '/checks/1']) {
        expect((await visitor.get(`${url}${path}`)).statusCode, path).toBe(403);
      }
    }
  });

  test('a driver sees and changes their own units alone', async () => {
    const theirs = await newUnit(otter, { name: 'Green grip' });
    expect(await unitAt(theirs.key)).toMatchObject({ driverId: 'd1', trackId: null });
    const herons = await newUnit(director, { name: 'Blue grip', holder: 'driver:d2' });
    const clubs = await newUnit(director, { name: 'Lane grip', holder: 'lane:t1:1' });
    const page = (await otter.get(list)).body;
    expect(page).toContain('Green grip');
    expect(page).not.toContain('Blue grip');
    expect(page).not.toContain('Lane grip');
    const before = [await unitAt(herons.key), await unitAt(clubs.key)];
    for (const { url, key } of [herons, clubs]) {
      for (const path of ['', '/sheet', '/check', '/check/state']) {
        expect((await otter.get(`${url}${path}`)).statusCode).toBe(403);
      }
      await otter.get(list);
      for (const path of ['', '/sheet', '/touched', '/token', '/revoke', '/archive', '/restore', '/checks/1/keep']) {
        const answer = await otter.post(`${url}${path}`, { name: 'Mine now', mechanicalSetting: '1' });
        expect(answer.statusCode, path).toBe(403);
      }
      expect((await paste(otter, url, strokes)).statusCode).toBe(403);
      const heads = await t.db.readClub('owls', (tx) =>
        tx.execute(sql`select 1 from trigger_trace where unit_id = ${key.id}`),
      );
      expect(heads).toHaveLength(0);
    }
    expect([await unitAt(herons.key), await unitAt(clubs.key)]).toEqual(before);
  });

  test('a driver cannot give a unit away', async () => {
    const { url, key } = await newUnit(otter, { holder: 'driver:d2' });
    expect(await unitAt(key)).toMatchObject({ driverId: 'd1' });
    await otter.get(url);
    await otter.post(url, { name: 'Still mine', holder: 'driver:d2' });
    expect(await unitAt(key)).toMatchObject({ driverId: 'd1', name: 'Still mine' });
  });

  test(`a driver has ${mostUnitsOfDriver} at most, also of two forms at once`, async () => {
    const driverId = 'wren';
    await t.db.withClub('owls', (tx) =>
      tx.insert(driver).values({ clubId: 'owls', id: driverId, nickname: 'Wren', nicknameKey: 'wren' }),
    );
    const wren = await signedIn(t, 'owls', 'driver', { driverId, label: 'Wren' });
    await wren.get(`${list}/new`);
    await t.db.withClub('owls', (tx) =>
      tx.insert(controllerUnit).values(
        Array.from({ length: mostUnitsOfDriver - 1 }, (_, i) => ({
          ...{ clubId: 'owls', id: `full${i}`, name: `Grip ${i}`, driverId, archivedAt: new Date() },
        })),
      ),
    );
    const both = await Promise.all([1, 2].map(() => wren.post(`${list}/new`, { name: 'One more' })));
    expect(both.map(({ statusCode }) => statusCode).sort()).toEqual([303, 400]);
    expect(both.find(({ statusCode }) => statusCode === 400)?.body).toContain(`${mostUnitsOfDriver} units at most`);
    expect((await t.db.readClub('owls', (tx) => selectUnits(tx, 'owls', driverId))).length).toBe(mostUnitsOfDriver);
    await t.db.withClub('owls', (tx) => tx.delete(controllerUnit).where(eq(controllerUnit.driverId, driverId)));
  });

  test('a double press adds one', async () => {
    const before = (await all()).length;
    const url = await pressTwice(otter, `${list}/new`, `${list}/new`, { name: 'Pressed twice' });
    expect(url).toMatch(/^\/c\/owls\/units\//);
    expect(await all()).toHaveLength(before + 1);
  });

  test('a driver’s session without a driver adds none', async () => {
    const nobody = await signedIn(t, 'owls', 'driver');
    await nobody.get(list);
    const before = (await all()).length;
    expect((await nobody.post(`${list}/new`, { name: 'Grip' })).statusCode).toBe(403);
    expect(await all()).toHaveLength(before);
  });
});

describe('a unit', () => {
  test('goes from the club to a driver to a lane, with the forms as they come', async () => {
    const { url, key } = await newUnit(director);
    for (const [holder, stored, words] of [
      ['driver:d1', { driverId: 'd1', trackId: null, lane: null }, 'Otter'],
      ['lane:t1:1', { driverId: null, trackId: 't1', lane: 1 }, 'Attic, lane 1'],
      ['', { driverId: null, trackId: null, lane: null }, 'the club'],
    ] as const) {
      const fields = formFields((await director.get(url)).body, url);
      const answer = await director.post(url, { ...fields, holder });
      expect(answer.headers.location).toBe(`${url}?done=saved`);
      expect(await unitAt(key)).toMatchObject(stored);
      const page = (await director.get(`${url}?done=saved`)).body;
      expect(page).toContain(words);
      expect(formFields(page, url)).toMatchObject({ name: 'Red grip', holder });
    }
  });

  test.each([
    { name: '' },
    { holder: 'driver:nobody' },
    { holder: 'lane:t1:9' },
    { holder: 'lane:none:1' },
    { holder: 'driver:' },
    { holder: 'lane:t1:1:1' },
    { holder: '<script>' },
  ])('refuses %j and changes nothing', async (wrong) => {
    const { url, key } = await newUnit(director);
    const before = await unitAt(key);
    await director.get(url);
    const answer = await director.post(url, { name: 'Other', holder: '', ...wrong });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain('form-errors');
    expect(await unitAt(key)).toEqual(before);
  });

  test('stays with a driver who was archived, until somebody gives it away', async () => {
    await t.db.withClub('owls', (tx) =>
      tx.insert(driver).values({ clubId: 'owls', id: 'd3', nickname: 'Marten', nicknameKey: 'marten' }),
    );
    const { url, key } = await newUnit(director, { holder: 'driver:d3' });
    await t.db.withClub('owls', (tx) => tx.execute(sql`update driver set archived_at = now() where id = 'd3'`));
    const fields = formFields((await director.get(url)).body, url);
    await director.post(url, { ...fields, name: 'Renamed' });
    expect(await unitAt(key)).toMatchObject({ name: 'Renamed', driverId: 'd3' });
    expect((await director.get(`${list}/new`)).body).not.toContain('Marten');
  });

  test('may be called anything that can be seen', async () => {
    const { url, key } = await newUnit(director);
    for (const name of hostileNames.refused) {
      await director.get(url);
      expect((await director.post(url, { name, holder: '' })).statusCode, name).toBe(422);
    }
    for (const name of hostileNames.allowed) {
      await director.get(url);
      expect((await director.post(url, { name, holder: '' })).statusCode, name).toBe(303);
      expect(await unitAt(key)).toMatchObject({ name });
      for (const path of ['', '/check', '/sheet']) {
        expect((await director.get(`${url}${path}`)).body, name).toContain(inHtml(name));
      }
    }
  });

  test('is archived and put back', async () => {
    const { url } = await newUnit(director, { name: 'Old grip' });
    await director.get(url);
    expect((await director.post(`${url}/archive`)).headers.location).toBe(list);
    expect((await director.get(list)).body).toContain('Archived units');
    expect((await director.get(url)).body).toContain('This unit is archived');
    expect((await director.post(`${url}/restore`)).headers.location).toBe(url);
  });

  test('shows its token once', async () => {
    const { url, key } = await newUnit(director);
    await director.get(url);
    const answer = await director.post(`${url}/token`);
    const token = /lw_unit_owls_[\w-]{43}/.exec(answer.body)?.[0] ?? '';
    expect(answer.headers['cache-control']).toBe('no-store');
    const stored = JSON.stringify(await unitAt(key));
    expect(stored).not.toContain(token);
    for (const path of ['', '/check', '/sheet']) {
      expect((await director.get(`${url}${path}`)).body).not.toContain('lw_unit_');
    }
    const controller = new SimulatedController(t.app, token);
    expect((await controller.me()).json()).toMatchObject({ name: 'Red grip' });
    expect((await director.get(url)).body).toContain('Make a new token');
    await director.post(`${url}/revoke`);
    expect((await controller.me()).statusCode).toBe(401);
  });
});

describe('a token', () => {
  const statusOf = async (by: Visitor, url: string) => (await by.post(`${url}/token`)).statusCode;

  test('is not made or renewed by a browser that joined for the night; it may take one back', async () => {
    const { url, key } = await newUnit(otter, { name: 'Token grip' });
    const joined = await signedIn(t, 'owls', 'driver', { driverId: 'd1', meetingId: 'm1', label: 'Otter' });
    for (const by of [otter, joined]) {
      const { body } = await by.get(url);
      expect(body).toContain('A token works on after tonight');
      expect(body).not.toContain(`action="${url}/token"`);
      const refused = await by.post(`${url}/token`);
      expect(refused.statusCode).toBe(403);
      expect(refused.body).toContain('A token works on after tonight');
      expect(refused.body).not.toContain('lw_unit_');
    }
    expect((await unitAt(key))?.tokenHash).toBeNull();
    await director.get(url);
    expect(await statusOf(director, url)).toBe(200);
    const given = (await unitAt(key))?.tokenHash;
    expect(await statusOf(joined, url)).toBe(403);
    expect((await unitAt(key))?.tokenHash).toBe(given);
    expect((await joined.get(url)).body).toContain(`action="${url}/revoke"`);
    await joined.post(`${url}/revoke`);
    expect((await unitAt(key))?.tokenHash).toBeNull();
  });

  test('is made on the driver’s own device, also once that has joined a night; never for another’s unit', async () => {
    const { url, key } = await newUnit(otter, { name: 'Own grip' });
    const own = { driverId: 'd1', label: 'Otter', hours: ownDeviceHours };
    for (const more of [own, { ...own, meetingId: 'm1' }]) {
      const device = await signedIn(t, 'owls', 'driver', more);
      expect((await device.get(url)).body).toContain(`action="${url}/token"`);
      const before = (await unitAt(key))?.tokenHash;
      expect((await device.post(`${url}/token`)).body).toMatch(/lw_unit_owls_[\w-]{43}/);
      expect((await unitAt(key))?.tokenHash).not.toBe(before);
    }
    const heron = await signedIn(t, 'owls', 'driver', { ...own, driverId: 'd2', label: 'Heron' });
    await heron.get(list);
    expect(await statusOf(heron, url)).toBe(403);
  });
});

describe('a check', () => {
  test('of readings typed in: verdict, picture, numbers, and kept when asked', async () => {
    const { url, key } = await newUnit(director);
    const page = (await director.get(`${url}/check`)).body;
    expect(page).toMatch(/Take the car off the track or switch track power off/);
    expect(page).toMatch(/Three slow full strokes/);
    const sent = await paste(director, url, strokes);
    expect(sent.statusCode).toBe(303);
    const result = String(sent.headers.location);
    const { body } = await director.get(result);
    expect(body).toContain('The trigger reads well.');
    expect(body).toMatch(
      /Nothing has to be touched\. .* turn the magnet by 4\d degrees in the direction in which the count rises/,
    );
    expect(body).toMatch(/<svg[^>]* role="img" aria-label="Readings" aria-describedby="readings-chart-description"/);
    expect(body).toMatch(
      /id="readings-chart-description">\d+ readings of the sensor[^<]* Released is at 1200, pressed at 188\d/,
    );
    expect(body).toContain('The same as a table');
    expect(body).toContain('typed in');
    expect(await calibrationsOf(key)).toEqual([]);
    const presses = await Promise.all([1, 2].map(() => director.post(`${result}/keep`)));
    for (const answer of [...presses, await director.post(`${result}/keep`)]) {
      expect(answer.headers.location).toBe(`${url}?done=kept`);
    }
    expect(await calibrationsOf(key)).toMatchObject([
      { n: 1, mechanicalSetting: 1, bits: 12, direction: 1, warnings: [], author: 'director' },
    ]);
    const unit = (await director.get(`${url}?done=kept`)).body;
    expect(unit).toContain('The calibration is kept.');
    expect(unit).toContain('calibrated on');
    expect((await director.get(list)).body).toContain('calibrated');
  });

  const calibrationsOf = (key: UnitKey) => t.db.readClub('owls', (tx) => selectCalibrations(tx, key));

  test('that does not pass cannot be kept, and says what to do', async () => {
    const { url, key } = await newUnit(director);
    const result = String((await paste(director, url, wrapped)).headers.location);
    const { body } = await director.get(result);
    expect(body).toContain('Re-seat the magnet.');
    expect(body).toContain('The count starts again at 0 within the travel.');
    expect(body).not.toContain('Keep this calibration');
    expect((await director.post(`${result}/keep`)).headers.location).toBe(result);
    expect(await calibrationsOf(key)).toEqual([]);
  });

  test('is kept with its warnings', async () => {
    const { url, key } = await newUnit(director);
    const near = readingsOf({ bits: 12, rest: 3385, travel: 700, restSamples: 60, noise: 1 });
    const result = String((await paste(director, url, near)).headers.location);
    expect((await director.get(result)).body).toMatch(
      /Also noticed[\s\S]*One end lies close to where the count starts again/,
    );
    await director.post(`${result}/keep`);
    expect(await calibrationsOf(key)).toMatchObject([{ warnings: ['NEAR_WRAP'] }]);
    expect((await director.get(url)).body).toContain('One end lies close');
  });

  test('is void once the travel screw, spring or magnet was touched', async () => {
    const { url, key } = await newUnit(director);
    const result = String((await paste(director, url, strokes)).headers.location);
    await director.post(`${result}/keep`);
    const fields = formFields((await director.get(url)).body, `${url}/touched`);
    for (let i = 0; i < 2; i++) {
      // The button pressed twice raises it once.
      expect((await director.post(`${url}/touched`, fields)).headers.location).toBe(`${url}?done=touched`);
    }
    expect(await unitAt(key)).toMatchObject({ mechanicalSetting: 2 });
    const { body } = await director.get(`${url}?done=touched`);
    expect(body).toContain('Mechanical setting 2 begins now. Earlier calibrations are void: check the trigger again.');
    expect(body).toContain('void since mechanical setting 2');
    expect(body).toMatch(/number 2, since/);
    // Readings from before are shown, and cannot be kept any more.
    expect((await director.get(result)).body).toContain('can no longer be kept');
    expect((await director.post(`${result}/keep`)).headers.location).toBe(result);
    expect(await calibrationsOf(key)).toHaveLength(1);
    expect((await director.post(`${url}/touched`, { mechanicalSetting: 'x' })).statusCode).toBe(400);
  });

  test.each([
    ['a table', 'ms,count\n', (counts: number[]) => counts.map((count, i) => `${i * 10},${count}`).join('\r\n')],
    ['one a line', '', (counts: number[]) => counts.join('\n')],
    ['a list', '', (counts: number[]) => JSON.stringify(counts)],
  ])('of an uploaded file: %s', async (_what, head, write) => {
    const { url } = await newUnit(director);
    const sent = await paste(director, url, strokes, {
      counts: '',
      file: new File([head + write(strokes.counts)], 'readings.csv'),
    });
    expect(sent.statusCode).toBe(303);
    const { body } = await director.get(String(sent.headers.location));
    expect(body).toContain('The trigger reads well.');
    expect(body).toContain('from a file');
  });

  test('of a JSON file that says how the sensor counts', async () => {
    const { url } = await newUnit(director);
    const fine = readingsOf({ bits: 14, rest: 5000, travel: 2500, restSamples: 80, noise: 2 });
    const file = new File([JSON.stringify(fine)], 'readings.json');
    const sent = await paste(director, url, strokes, { counts: '', file });
    expect((await director.get(String(sent.headers.location))).body).toContain('The trigger reads well.');
    const wrong = new File([JSON.stringify({ ...fine, bits: 10 })], 'readings.json');
    expect((await paste(director, url, strokes, { counts: '', file: wrong })).statusCode).toBe(422);
  });

  test.each([
    [{ counts: '' }, /Paste readings here/],
    [{ counts: '12 thirteen' }, /Reading 2 is “thirteen”/],
    [{ counts: '12 13.5' }, /Reading 2 is “13\.5”/],
    [{ counts: '{"counts":[1,"2"]}' }, /Reading 2 is/],
    [{ counts: '{"counts"' }, /not JSON with a list/],
    [{ counts: '{"samples":[1]}' }, /not JSON with a list/],
    [{ counts: '1 '.repeat(20_001) }, /At most 20000 readings/],
    [{ bits: '10' }, /Choose one of these/],
    [{ restSamples: 'many' }, /A number from 0 to 20000/],
    [{ restSamples: '' }, /A number from 0 to 20000/],
  ])('refuses %j in a sentence and keeps nothing', async (wrong, sentence) => {
    const { url, key } = await newUnit(director);
    const answer = await paste(director, url, strokes, wrong as Record<string, string>);
    expect(answer.statusCode).toBe(422);
    expect(answer.body.replace(/&quot;/g, '"')).toMatch(sentence);
    const rows = await t.db.readClub('owls', (tx) =>
      tx.execute(sql`select 1 from trigger_trace where unit_id = ${key.id}`),
    );
    expect(rows).toHaveLength(0);
  });

  test('takes no file that is too large, and nothing that is no form', async () => {
    const { url } = await newUnit(director);
    const file = new File([' '.repeat(600_000)], 'readings.txt');
    const answer = await paste(director, url, strokes, { file });
    expect(answer.statusCode).toBe(413);
    expect(answer.body).toContain('The file is too large');
  });

  test('readings that mean nothing are answered with what to do, never an error', async () => {
    const { url } = await newUnit(director);
    for (const counts of ['5', '-7 99999 3', Array(400).fill(0).join(','), Array(400).fill(4095).join('\n')]) {
      const sent = await paste(director, url, strokes, { counts });
      const page = await director.get(String(sent.headers.location));
      expect(page.statusCode).toBe(200);
      expect(page.body).toMatch(/Repeat the strokes|Re-seat the magnet/);
    }
  });

  test('of another unit is not found', async () => {
    const [one, other] = [await newUnit(director), await newUnit(director)];
    await paste(director, one.url, strokes);
    expect((await director.get(`${one.url}/checks/1`)).statusCode).toBe(200);
    for (const n of ['1', '99', 'x', '-1', '1e9', '99999999999999999999']) {
      expect((await director.get(`${other.url}/checks/${n}`)).statusCode, n).toBe(404);
    }
  });
});

describe('live from the unit', () => {
  test('the page shows readings as they come, then the verdict', async () => {
    const { url, key } = await newUnit(director);
    await director.get(url);
    const token = /lw_unit_owls_[\w-]{43}/.exec((await director.post(`${url}/token`)).body)?.[0] ?? '';
    const controller = new SimulatedController(t.app, token);
    const check = (await director.get(`${url}/check`)).body;
    const poll = /hx-get="([^"]+)"/.exec(check)?.[1]?.replace(/&amp;/g, '&') ?? '';
    expect(poll).toBe(`${url}/check/state?after=0`);
    expect((await director.get(poll)).body).toContain('Waiting for readings.');

    const { bits, restSamples, counts } = strokes;
    const part = { trace: 'p1', bits, rest_samples: restSamples, last: false };
    await controller.samples({ ...part, seq: 0, counts: counts.slice(0, 40) });
    const first = (await director.get(poll)).body;
    expect(first).toContain('40 readings so far');
    expect(first).toContain('Hands off: 20 more readings.');
    await controller.samples({ ...part, seq: 40, counts: counts.slice(40, 200) });
    const own = /hx-get="([^"]+)"/.exec(first)?.[1] ?? '';
    expect(own).toBe(`${url}/checks/1/state`);
    const second = (await director.get(own)).body;
    expect(second).toContain('200 readings so far');
    expect(second).toContain('Now three slow full strokes.');
    expect(second).not.toContain('Keep this calibration');
    expect((await director.post(`${url}/checks/1/keep`)).statusCode).toBe(404);

    await controller.samples({ ...part, seq: 200, counts: counts.slice(200), last: true });
    const last = (await director.get(own)).body;
    expect(last).toContain('The trigger reads well.');
    expect(last).toContain('from the unit itself');
    // Nothing more is asked for.
    expect(last).not.toContain('hx-get');
    await director.post(`${url}/checks/1/keep`);
    expect((await controller.me()).json()).toMatchObject({ calibration: { bits: 12, direction: 1 } });
    await controller.tellTouched(1);
    expect((await controller.me()).json()).toMatchObject({ calibration: null, mechanical_setting: 2 });
    expect(await unitAt(key)).toMatchObject({ mechanicalSetting: 2 });
  });
});

describe('what it can do', () => {
  test('every function may be missing, or all be there', async () => {
    const { url, key } = await newUnit(director);
    const sheet = `${url}/sheet`;
    for (const [begin, stored] of [
      ['nothing', { minDrive: null, maxDrive: null, drag: null, pwmHz: null, curve: null, decay: ['slow'] }],
      [
        'everything',
        { maxDrive: { min: 100, max: 1000, step: 1 }, drag: { closingOnly: true }, curve: { kind: 'any' } },
      ],
    ] as const) {
      const page = (await director.get(`${sheet}?begin=${begin}`)).body;
      const fields: Record<string, string | string[]> = { ...formFields(page, sheet) };
      if (begin === 'everything') Object.assign(fields, { decay: ['slow', 'fast'], rectify: ['async', 'sync'] });
      expect((await director.post(sheet, fields)).headers.location).toBe(`${url}?done=sheet`);
      expect((await unitAt(key))?.sheet).toMatchObject(stored);
      // And comes back as it was typed.
      expect(formFields((await director.get(sheet)).body, sheet)).toEqual(formFields(page, sheet));
    }
    expect(((await unitAt(key))?.sheet as { pwmHz: { list: number[] } }).pwmHz.list).toHaveLength(4801);
  });

  test('steps in percent, a table, and a few frequencies', async () => {
    const { url, key } = await newUnit(director);
    const sheet = `${url}/sheet`;
    const blank = formFields((await director.get(`${sheet}?begin=nothing`)).body, sheet);
    const typed = {
      'has-maxDrive': 'on',
      'maxDrive-min': '20',
      'maxDrive-max': '100',
      'maxDrive-step': '2.5',
      'has-drag': 'on',
      'dragStrength-step': '5',
      curve: 'table',
      tableEntries: '16',
      tableStep: '0.4',
      pwmHz: '500 1000, 2000-4000/1000',
    };
    expect((await director.post(sheet, { ...blank, ...typed })).statusCode).toBe(303);
    expect((await unitAt(key))?.sheet).toMatchObject({
      minDrive: null,
      maxDrive: { min: 200, max: 1000, step: 25 },
      drag: { strength: { min: 0, max: 1000, step: 50 }, zone: { min: 0, max: 1000 }, closingOnly: false },
      curve: { kind: 'table', n: 16, yStep: 4 },
      pwmHz: { list: [500, 1000, 2000, 3000, 4000] },
    });
  });

  test.each([
    [{ 'has-maxDrive': 'on', 'maxDrive-min': '90', 'maxDrive-max': '20' }, 'maxDrive-min'],
    [{ 'has-maxDrive': 'on', 'maxDrive-max': '101' }, 'maxDrive-max'],
    [{ 'has-rampUpMs': 'on', 'rampUpMs-step': '0' }, 'rampUpMs-step'],
    [{ 'has-drag': 'on', 'dragZone-min': 'x' }, 'dragZone-min'],
    [{ pwmHz: '100' }, 'pwmHz'],
    [{ pwmHz: 'fast' }, 'pwmHz'],
    [{ curve: 'magic' }, 'curve'],
    [{ curve: 'number', 'curve-min': '50', 'curve-max': '-50' }, 'curve'],
    [{ decay: [] }, 'decay'],
    [{ decay: ['fast'], rectify: ['sync'] }, 'rectify'],
  ])('refuses %j beside its field and keeps what was there', async (wrong, field) => {
    const { url, key } = await newUnit(director);
    const sheet = `${url}/sheet`;
    const blank = formFields((await director.get(`${sheet}?begin=nothing`)).body, sheet);
    const answer = await director.post(sheet, { ...blank, ...wrong });
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain(`href="#${field}"`);
    expect((await unitAt(key))?.sheet).toBeNull();
  });
});
