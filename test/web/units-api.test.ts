import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { randomFrom } from '../../server/shared/random.ts';
import { archiveUnit, putUnit, renewToken, revokeToken } from '../../server/units/actions.ts';
import { selectOptionalTraceByName, selectTraceHeads } from '../../server/units/calibration-store.ts';
import type { UnitKey } from '../../server/units/store.ts';
import { mostReadings } from '../../server/units/trace-parts.ts';
import { units } from '../../views/texts/en/help/units.ts';
import { startTestApp, type TestApp } from '../helpers/app.ts';
import { SimulatedController } from '../helpers/controller.ts';
import { emptyClub, inHtml } from '../helpers/own-pages.ts';
import { readingsOf } from '../helpers/trigger-strokes.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
  await emptyClub(t);
});
afterAll(() => t.close());

/** A unit of the club's that speaks for itself. */
async function newUnit(): Promise<{ key: UnitKey; controller: SimulatedController }> {
  const id = await t.db.withClub('owls', (tx) =>
    putUnit(tx, 'owls', { name: 'Red grip', driverId: null, trackId: null, lane: null }),
  );
  const key = { clubId: 'owls', id: id ?? '' };
  return { key, controller: new SimulatedController(t.app, (await renewToken(t.db, key)) ?? '') };
}

const strokes = readingsOf({ bits: 12, rest: 1200, travel: 683, restSamples: 60, noise: 1 });
const part = { trace: 'a', seq: 0, bits: 12, rest_samples: 60, counts: [1, 2, 3], last: false };

describe('the token', () => {
  test('opens this unit’s doors until it is renewed, taken back or the unit is archived', async () => {
    const { key, controller } = await newUnit();
    expect((await controller.me()).json()).toEqual({
      name: 'Red grip',
      mechanical_setting: 1,
      sheet: null,
      calibration: null,
      server_us: t.clock.nowUs(),
    });
    const first = controller.token;
    controller.token = (await renewToken(t.db, key)) ?? '';
    expect((await controller.me()).statusCode).toBe(200);
    expect((await new SimulatedController(t.app, first).me()).statusCode).toBe(401);
    await archiveUnit(t.db, key, true);
    expect((await controller.me()).statusCode).toBe(401);
    await archiveUnit(t.db, key, false);
    expect((await controller.me()).statusCode).toBe(200);
    await revokeToken(t.db, key);
    const refused = await controller.me();
    expect(refused.statusCode).toBe(401);
    expect(refused.headers['www-authenticate']).toBe('Bearer');
  });

  test.each(['', 'lw_unit_owls_short', `lw_dev_owls_${'x'.repeat(43)}`, `lw_unit_nobody_${'x'.repeat(43)}`])(
    'of nobody opens nothing: %s',
    async (token) => {
      const { controller } = await newUnit();
      controller.token = token;
      const answers = [
        await controller.me(),
        await controller.tellSheet({}),
        await controller.tellTouched(1),
        await controller.samples(part),
        await controller.profile(),
      ];
      expect(answers.map(({ statusCode }) => statusCode)).toEqual([401, 401, 401, 401, 401]);
    },
  );
});

describe('what a unit says of itself', () => {
  test('its sheet, as it is on a form', async () => {
    const { controller } = await newUnit();
    const sheet = { maxDrive: { min: 200, max: 1000, step: 50 }, decay: ['slow'], rectify: ['async'] };
    expect((await controller.tellSheet(sheet)).statusCode).toBe(200);
    expect((await controller.me()).json()).toMatchObject({ sheet: { ...sheet, minDrive: null, curve: null } });
    const wrong = await controller.tellSheet({ ...sheet, maxDrive: { min: 900, max: 200, step: 50 } });
    expect(wrong.statusCode).toBe(400);
    expect(wrong.json().sentence).toMatch(/least maximum drive must not be above the most/);
    expect((await controller.me()).json()).toMatchObject({ sheet });
  });

  test('that it was touched: once, however often it says so', async () => {
    const { controller } = await newUnit();
    for (let i = 0; i < 3; i++) {
      expect((await controller.tellTouched(1)).json()).toEqual({ mechanical_setting: 2 });
    }
    expect((await controller.tellTouched(2)).json()).toEqual({ mechanical_setting: 3 });
    expect((await controller.me()).json()).toMatchObject({ mechanical_setting: 3 });
  });

  test('that it was touched at a setting that is still to come: asked again, not passed over', async () => {
    const { controller } = await newUnit();
    const answer = await controller.tellTouched(7);
    expect(answer.statusCode).toBe(409);
    expect(answer.json()).toMatchObject({ error: 'ahead', mechanical_setting: 1 });
    expect((await controller.me()).json()).toMatchObject({ mechanical_setting: 1 });
  });

  test('without a token it is told where to get one', async () => {
    const answer = await t.app.inject({ url: '/api/v1/units/me' });
    expect(answer.statusCode).toBe(401);
    expect(answer.json().sentence).toMatch(/page of the track or of the controller unit/);
  });

  test.each([
    ['/mechanical', {}, /mechanical_setting/],
    ['/mechanical', { mechanical_setting: 1.5 }, /whole number/],
    ['/mechanical', { mechanical_setting: 1, more: 1 }, /more/],
    ['/samples', { ...part, trace: 'a b' }, /trace/],
    ['/samples', { ...part, bits: 10 }, /12 or 14/],
    ['/samples', { ...part, counts: [1, '2'] }, /counts/],
    ['/samples', { ...part, counts: [-1] }, /counts/],
    ['/samples', { ...part, counts: Array(2001).fill(0) }, /at most 2000/],
    ['/samples', { ...part, last: 'no' }, /true or false/],
    ['/samples', { ...part, seq: -1 }, /seq/],
    ['/samples', [], /./],
  ])('%s refuses %j in a sentence', async (path, body, sentence) => {
    const { key, controller } = await newUnit();
    const answer = await controller.send('POST', path, body);
    expect(answer.statusCode).toBe(400);
    expect(answer.json().sentence).toMatch(sentence);
    expect(await t.db.readClub('owls', (tx) => selectTraceHeads(tx, key))).toEqual([]);
  });

  test('nothing but JSON, and no flood of bytes', async () => {
    const { controller } = await newUnit();
    const text = await t.app.inject({
      method: 'POST',
      url: '/api/v1/units/me/mechanical',
      headers: { authorization: `Bearer ${controller.token}`, 'content-type': 'text/plain' },
      payload: '{"mechanical_setting":1}',
    });
    expect(text.statusCode).toBe(415);
    expect((await controller.send('POST', '/samples', { ...part, more: 'x'.repeat(70_000) })).statusCode).toBe(413);
  });
});

describe('readings in parts', () => {
  test('the last part is answered with the verdict', async () => {
    const { key, controller } = await newUnit();
    const { answer } = await controller.check('boot1', strokes);
    expect(answer.json()).toMatchObject({
      stored: strokes.counts.length,
      complete: true,
      verdict: 'ok',
      codes: [],
      released: expect.any(Number),
      direction: 1,
      dead_band: expect.any(Number),
      advice_degrees: expect.any(Number),
      sentence: expect.stringMatching(/^The trigger reads well\. Nothing has to be touched\./),
    });
    const trace = await t.db.readClub('owls', (tx) => selectOptionalTraceByName(tx, key, 'boot1'));
    expect(trace).toMatchObject({ source: 'unit', complete: true, restSamples: 60, counts: strokes.counts });
    // Nothing is kept as a calibration before somebody says so.
    expect((await controller.me()).json()).toMatchObject({ calibration: null });
  });

  test('lost requests, lost answers and repeats change nothing', async () => {
    const random = randomFrom(7);
    for (const perPart of [1, 33, 50, 500]) {
      const { key, controller } = await newUnit();
      const readings = perPart === 1 ? { ...strokes, counts: strokes.counts.slice(0, 40) } : strokes;
      const ways = ['arrives', 'lost', 'answer lost'] as const;
      const { answer, requests } = await controller.check('t', readings, perPart, (n) =>
        n === 0 ? 'answer lost' : (ways[Math.floor(3 * random.unit())] ?? 'arrives'),
      );
      expect(requests).toBeGreaterThan(readings.counts.length / perPart);
      expect(answer.json()).toMatchObject({ stored: readings.counts.length, complete: true });
      const trace = await t.db.readClub('owls', (tx) => selectOptionalTraceByName(tx, key, 't'));
      expect(trace?.counts).toEqual(readings.counts);
    }
  });

  test('a part whose predecessor is missing says where to go on; parts may overlap', async () => {
    const { controller } = await newUnit();
    expect((await controller.samples({ ...part, seq: 10 })).json()).toMatchObject({ error: 'gap', next: 0 });
    await controller.samples(part);
    const gap = await controller.samples({ ...part, seq: 4 });
    expect(gap.statusCode).toBe(409);
    expect(gap.json()).toEqual({
      error: 'gap',
      next: 3,
      sentence: 'Readings before these are missing: go on from number 3.',
    });
    expect((await controller.samples({ ...part, seq: 1, counts: [2, 3, 4, 5] })).json()).toEqual({
      stored: 5,
      complete: false,
    });
    expect((await controller.samples({ ...part, seq: 0, counts: [1] })).json()).toEqual({ stored: 5, complete: false });
  });

  test('other readings under the same numbers are refused', async () => {
    const { controller } = await newUnit();
    await controller.samples(part);
    for (const other of [{ counts: [1, 2, 4] }, { bits: 14 }, { rest_samples: 61 }]) {
      const answer = await controller.samples({ ...part, ...other });
      expect(answer.statusCode).toBe(409);
      expect(answer.json()).toMatchObject({ error: 'changed' });
    }
  });

  test('a complete trace takes nothing more, and repeats its verdict', async () => {
    const { controller } = await newUnit();
    await controller.samples({ ...part, last: true });
    expect((await controller.samples({ ...part, seq: 3 })).json()).toMatchObject({ error: 'ended' });
    expect((await controller.samples({ ...part, last: true })).json()).toMatchObject({ stored: 3, verdict: 'repeat' });
  });

  test('a unit that was touched meanwhile begins anew', async () => {
    const { controller } = await newUnit();
    await controller.samples(part);
    await controller.tellTouched(1);
    expect((await controller.samples({ ...part, seq: 3 })).json()).toMatchObject({ error: 'touched' });
    expect((await controller.samples({ ...part, trace: 'b' })).statusCode).toBe(200);
  });

  test('two parts at once are stored once each', async () => {
    const { key, controller } = await newUnit();
    const sent = Array.from({ length: 6 }, (_, i) => controller.samples({ ...part, seq: 3 * Math.floor(i / 2) }));
    for (const { statusCode } of await Promise.all(sent)) expect([200, 409]).toContain(statusCode);
    const trace = await t.db.readClub('owls', (tx) => selectOptionalTraceByName(tx, key, 'a'));
    expect(trace?.counts.length).toBeLessThanOrEqual(9);
    expect(trace?.counts.every((count, i) => count === (i % 3) + 1)).toBe(true);
  });

  test('the last few traces are kept', async () => {
    const { key, controller } = await newUnit();
    for (let i = 0; i < 8; i++) await controller.samples({ ...part, trace: `t${i}`, last: i % 2 === 0 });
    const heads = await t.db.readClub('owls', (tx) => selectTraceHeads(tx, key));
    expect(heads.map(({ name, length }) => [name, length])).toEqual(
      ['t7', 't6', 't5', 't4', 't3'].map((name) => [name, 3]),
    );
  });

  test('a trace has an end, and so has a unit’s allowance', async () => {
    const { controller } = await newUnit();
    // No time passes, however slow this machine is: allowances do not fill up again.
    const clock = vi.spyOn(performance, 'now').mockReturnValue(1_000_000);
    try {
      const counts = Array(2000).fill(7);
      for (let seq = 0; seq < mostReadings; seq += counts.length) {
        expect((await controller.samples({ ...part, seq, counts })).statusCode).toBe(200);
      }
      const tooMuch = await controller.samples({ ...part, seq: mostReadings, counts });
      expect(tooMuch.statusCode).toBe(429);
      expect(Number(tooMuch.headers['retry-after'])).toBe(1);
      expect(tooMuch.json().sentence).toMatch(/sends too much/);
      const statuses: number[] = [];
      for (let i = 0; i < 60; i++) statuses.push((await controller.me()).statusCode);
      // Fifty requests at once, eleven of which were parts.
      expect(statuses.indexOf(429)).toBe(39);
      // Another unit is not held back by it.
      expect((await (await newUnit()).controller.me()).statusCode).toBe(200);
      clock.mockReturnValue(1_001_000);
      expect((await controller.samples({ ...part, seq: mostReadings, counts })).json()).toMatchObject({
        error: 'full',
      });
    } finally {
      clock.mockRestore();
    }
  });

  test('of another unit cannot be reached', async () => {
    const { key, controller } = await newUnit();
    const other = await newUnit();
    await controller.samples({ ...part, trace: 'mine' });
    expect((await other.controller.samples({ ...part, trace: 'mine', seq: 3 })).json()).toMatchObject({ next: 0 });
    const heads = await t.db.readClub('owls', (tx) => selectTraceHeads(tx, key));
    expect(heads).toHaveLength(1);
  });
});

test('every line of the help page does what it says', async () => {
  const { controller } = await newUnit();
  const { body } = await t.app.inject({ url: '/help/units' });
  const lines = units.sections.flatMap(({ parts }) =>
    parts.flatMap((one) => (typeof one === 'object' && 'code' in one ? [one.code] : [])),
  );
  expect(lines.length).toBe(5);
  for (const line of lines) {
    expect(body).toContain(inHtml(line));
    const [, path = ''] = /localhost:3000\/api\/v1\/units\/me(\S*)/.exec(line) ?? [];
    const method = /-X (\w+)/.exec(line)?.[1] ?? 'GET';
    const payload = /-d '([^']+)'/.exec(line)?.[1];
    const answer = await controller.send(method as 'GET', path, payload && JSON.parse(payload));
    expect(answer.statusCode, line).toBe(path === '/profile' ? 404 : 200);
  }
});

test('a unit that was heard of is noted', async () => {
  const { key, controller } = await newUnit();
  await controller.me();
  const [row] = await t.db.readClub('owls', (tx) =>
    tx.execute<{ seen: boolean }>(sql`select seen_at is not null as seen from controller_unit where id = ${key.id}`),
  );
  expect(row?.seen).toBe(true);
});
