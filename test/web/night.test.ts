import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { lap, standing } from '../../db/schema/index.ts';
import { readLog } from '../../server/archive/log-read.ts';
import { minLapField } from '../../server/meetings/schemas.ts';
import { signedIn, startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { type NightPlan, type PlantedNight, plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const s = 1_000_000;
let clubs = 0;

/** A night of its own for each test, and a director at the desk. */
async function night(race: NonNullable<NightPlan['race']> = {}) {
  clubs += 1;
  const n = await plantNight(t.db, {
    slug: `night${clubs}`,
    lanes: 2,
    drivers: ['Driver 1', 'Driver 2'],
    heats: [{ lanes: [1, 2] }, { lanes: [2, 1] }],
    race: { durationMs: 60_000, ...race },
  });
  const director = await signedIn(t, n.clubId, 'director');
  await director.get(`${n.path('')}control`);
  return { n, director };
}

/** Presses as the button on the screen would: with the number of the last event that it showed. */
async function press(by: Visitor, n: PlantedNight, heat: string, kind: string, more: Record<string, string> = {}) {
  const page = await by.get(`${n.path('')}control`);
  const seen = new RegExp(`heats/${heat}/press"[^>]*>(?:<input[^>]*>)*?<input[^>]*name="seen_n" value="(\\d+)"`).exec(
    page.body,
  );
  return by.post(`${n.path('')}heats/${heat}/press`, { kind, seen_n: seen?.[1] ?? '0', ...more });
}

async function results(by: Visitor, n: PlantedNight) {
  const answer = await by.get(`${n.path('')}results.json`);
  return (answer.json() as { rows: { entry: string; place: number; score: number | null; laps: number }[] }[])[0]?.rows;
}

/** Scores by entry: what a ruling changes and an undo brings back. */
async function scores(by: Visitor, n: PlantedNight) {
  return (await results(by, n))?.map(({ entry, place, score, laps }) => ({ entry, place, score, laps }));
}

async function stateOf(by: Visitor, n: PlantedNight): Promise<string> {
  return ((await by.get(`${n.path('')}state.json`)).json() as { state: string }).state;
}

describe('a heat from arm to confirm', () => {
  test('laps are counted, part laps entered, the result is what was counted', async () => {
    const { n, director } = await night();
    expect((await press(director, n, 'h1', 'arm')).statusCode).toBe(303);
    expect(await stateOf(director, n)).toBe('armed');
    expect((await press(director, n, 'h1', 'start')).statusCode).toBe(303);
    expect(await stateOf(director, n)).toBe('countdown');
    t.clock.advance(5 * s);
    expect(await stateOf(director, n)).toBe('running');
    const start = t.clock.nowUs();
    const at = (seconds: number) => start + seconds * s;
    await n.cross([1, at(1)], [2, at(2)], [1, at(11)], [2, at(9)], [2, at(9.5)], [1, at(21)]);
    t.clock.advance(30 * s);
    const board = await director.get(`${n.path('')}control`);
    expect(board.body).toContain('Track call');
    t.clock.advance(30 * s);
    expect(await stateOf(director, n)).toBe('ended');
    const parts = await director.post(`${n.path('')}heats/h1/parts`, { part_1: '50', part_2: '7' });
    expect(parts.statusCode).toBe(303);
    expect((await press(director, n, 'h1', 'confirm')).statusCode).toBe(303);
    expect(await results(director, n)).toMatchObject([
      { entry: 'e1', place: 1, score: 250, laps: 2 },
      { entry: 'e2', place: 2, score: 107, laps: 1 },
    ]);
  });

  test('nobody has to say where the cars stopped: the heat is confirmed without part laps', async () => {
    const { n, director } = await night();
    await press(director, n, 'h1', 'arm');
    await press(director, n, 'h1', 'start');
    t.clock.advance(120 * s);
    expect((await director.get(`${n.path('')}control`)).body).toContain('Confirm heat 1 without part laps');
    expect((await press(director, n, 'h1', 'confirm')).statusCode).toBe(303);
    expect((await director.get(`${n.path('')}heats/h1`)).body).toContain('Confirmed');
  });

  test('a track call stops the clock, dated back to when it was called', async () => {
    const { n, director } = await night();
    await press(director, n, 'h1', 'arm');
    await press(director, n, 'h1', 'start');
    t.clock.advance(15 * s);
    expect((await press(director, n, 'h1', 'hold', { called_ago: '4' })).statusCode).toBe(303);
    expect(await stateOf(director, n)).toBe('held');
    t.clock.advance(100 * s);
    await press(director, n, 'h1', 'resume');
    // 6 s had been raced when it was called: 54 s are left.
    t.clock.advance(53 * s);
    expect(await stateOf(director, n)).toBe('running');
    t.clock.advance(1 * s);
    expect(await stateOf(director, n)).toBe('ended');
  });

  test('when laps end a heat the server writes the stop, so that a ruling cannot make it longer', async () => {
    const { n, director } = await night({ format: 'time', durationMs: null, firstTo: 2 });
    await press(director, n, 'h1', 'arm');
    await press(director, n, 'h1', 'start');
    t.clock.advance(5 * s);
    const start = t.clock.nowUs();
    await n.cross([1, start + s], [1, start + 5 * s], [1, start + 9 * s]);
    t.clock.advance(20 * s);
    expect(await stateOf(director, n)).toBe('ended');
    const crossing = JSON.stringify({ device: 's1', boot: 'b1', seq: 3 });
    const ruled = await director.post(`${n.path('')}heats/h1/rule`, {
      kind: 'judge',
      crossing,
      value: '0',
      why: 'pushed',
    });
    expect(ruled.statusCode).toBe(303);
    expect(await stateOf(director, n)).toBe('ended');
    const page = await director.get(`${n.path('')}heats/h1/rulings`);
    expect(page.body).toContain('Lane 1: crossing does not count');
    expect(page.body).toContain('pushed');
  });

  test.each([
    { format: 'time', durationMs: null, firstTo: 2 },
    { format: 'laps', durationMs: null, laps: 2 },
  ] as const)(
    'a heat that its laps ended is confirmed with one press, and the stop stands at its end: %o',
    async (race) => {
      const { n, director } = await night(race);
      await press(director, n, 'h1', 'arm');
      await press(director, n, 'h1', 'start');
      t.clock.advance(5 * s);
      const start = t.clock.nowUs();
      await n.cross([1, start + s], [2, start + 2 * s], [1, start + 5 * s], [1, start + 9 * s]);
      await n.cross([2, start + 6 * s], [2, start + 10 * s]);
      t.clock.advance(20 * s);
      expect((await press(director, n, 'h1', 'confirm')).statusCode).toBe(303);
      const { facts } = readLog((await director.get(`${n.path('')}log.jsonl`)).rawPayload);
      const events = facts?.journal.map(({ fact: { kind, atUs } }) => [kind, (atUs - start) / s]);
      const endS = race.format === 'laps' ? 10 : 9;
      expect(events?.slice(2)).toEqual([
        ['stop', endS],
        ['confirm', 20],
      ]);
    },
  );
});

test('the program writes the stop of a heat that its laps ended, as soon as somebody looks, and no screen is old for it', async () => {
  const { n, director } = await night({ format: 'laps', durationMs: null, laps: 1 });
  await press(director, n, 'h1', 'arm');
  await press(director, n, 'h1', 'start');
  t.clock.advance(5 * s);
  const start = t.clock.nowUs();
  await n.cross([1, start + s], [2, start + s], [1, start + 6 * s], [2, start + 7 * s]);
  t.clock.advance(20 * s);
  const stops = async () => {
    const log = (await director.get(`${n.path('')}log.jsonl`)).body
      .split('\n')
      .filter((line) => line.includes('"stop"'));
    return log.map((line) => JSON.parse(line) as { n: number; at_us: number; by: string });
  };
  expect(await stops()).toEqual([]);
  await director.get(`${n.path('')}control`);
  await expect.poll(stops).toMatchObject([{ n: 3, at_us: start + 7 * s, by: 'Lanewise' }]);
  // The screen was drawn before the stop was written: it showed event 2.
  const confirmed = await director.post(`${n.path('')}heats/h1/press`, { kind: 'confirm', seen_n: '2' });
  expect(confirmed.statusCode).toBe(303);
});

describe('two people, one truth', () => {
  test('of two presses on the same screen one starts the heat, the other is told', async () => {
    const { n, director } = await night();
    const keeper = await signedIn(t, n.clubId, 'timekeeper');
    await keeper.get(`${n.path('')}control`);
    await press(director, n, 'h1', 'arm');
    const [one, two] = await Promise.all([
      director.post(`${n.path('')}heats/h1/press`, { kind: 'start', seen_n: '1' }),
      keeper.post(`${n.path('')}heats/h1/press`, { kind: 'start', seen_n: '1' }),
    ]);
    expect([one.statusCode, two.statusCode].sort()).toEqual([303, 409]);
    const loser = one.statusCode === 409 ? one : two;
    expect(loser.body).toContain('Somebody else was quicker');
  });

  test('the same command sent five times acts once', async () => {
    const { n, director } = await night();
    const sent = { kind: 'arm', seen_n: '0', command_id: 'one-press' };
    const answers = await Promise.all([1, 2, 3, 4, 5].map(() => director.post(`${n.path('')}heats/h1/press`, sent)));
    expect(answers.map(({ statusCode }) => statusCode)).toEqual([303, 303, 303, 303, 303]);
    const record = (await director.get(`${n.path('')}heats/h1/rulings`)).body.match(/id="record-\d+"/g);
    expect(record).toHaveLength(1);
  });

  test('what the state does not allow gets a sentence and changes nothing', async () => {
    const { n, director } = await night();
    for (const kind of ['start', 'hold', 'resume', 'stop', 'finish', 'confirm']) {
      const answer = await director.post(`${n.path('')}heats/h1/press`, { kind, seen_n: '0' });
      expect(answer.statusCode, kind).toBe(422);
    }
    expect(await stateOf(director, n)).toBe('idle');
    await press(director, n, 'h1', 'arm');
    await press(director, n, 'h1', 'start');
    t.clock.advance(10 * s);
    const busy = await director.post(`${n.path('')}heats/h2/press`, { kind: 'arm', seen_n: '0' });
    expect(busy.statusCode).toBe(422);
    expect(busy.body).toContain('Another heat is running on this track');
    t.clock.advance(56 * s);
    const rolling = await director.post(`${n.path('')}heats/h2/press`, { kind: 'arm', seen_n: '0' });
    expect(rolling.body).toContain('may still roll');
    t.clock.advance(2 * s);
    expect((await press(director, n, 'h2', 'arm')).statusCode).toBe(303);
  });

  test('drivers and people who only watch cannot press', async () => {
    const { n } = await night();
    const driver = await signedIn(t, n.clubId, 'driver', { driverId: 'd1', meetingId: n.meetingId });
    await driver.get(`/c/${n.clubId}/enter`);
    for (const path of ['press', 'rule', 'parts', 'void', 'rerun']) {
      expect((await driver.post(`${n.path('')}heats/h1/${path}`, { kind: 'arm', seen_n: '0' })).statusCode).toBe(403);
    }
    expect((await driver.get(`${n.path('')}control`)).statusCode).toBe(403);
  });
});

describe('rulings', () => {
  async function running(race: NonNullable<NightPlan['race']> = {}) {
    const { n, director } = await night(race);
    await press(director, n, 'h1', 'arm');
    await press(director, n, 'h1', 'start');
    t.clock.advance(5 * s);
    const start = t.clock.nowUs();
    for (const lap of [0, 1, 2]) await n.cross([1, start + (1 + 10 * lap) * s]);
    await n.cross([2, start + 2 * s], [2, start + 14 * s]);
    t.clock.advance(61 * s);
    const rule = (fields: Record<string, string>) => director.post(`${n.path('')}heats/h1/rule`, fields);
    return { n, director, rule };
  }

  test('every kind has its form, and each can be undone', async () => {
    const { n, director, rule } = await running();
    const raw = await scores(director, n);
    const crossing = JSON.stringify({ device: 's1', boot: 'b1', seq: 2 });
    const cases: [Record<string, string>, { e1?: number; e2?: number }][] = [
      [{ kind: 'judge', crossing, value: '3' }, { e1: 400 }],
      [
        { kind: 'move', crossing, value: '2' },
        { e1: 100, e2: 200 },
      ],
      [{ kind: 'adjust', lane: '2', value: '-0.5' }, { e2: 50 }],
      [{ kind: 'adjust', entry: 'e1', value: '1,25' }, { e1: 325 }],
      [{ kind: 'total', lane: '2', value: '31.42' }, { e2: 3142 }],
      [{ kind: 'part', lane: '1', value: '99' }, { e1: 299 }],
      [{ kind: 'exclude', entry: 'e1', value: 'heat' }, { e1: 0 }],
      [{ kind: 'retire', lane: '1' }, { e1: 200 }],
    ];
    for (const [fields, expected] of cases) {
      expect((await rule(fields)).statusCode, JSON.stringify(fields)).toBe(303);
      const rows = await results(director, n);
      for (const [entry, score] of Object.entries(expected)) {
        expect(rows?.find((row) => row.entry === entry)?.score, `${JSON.stringify(fields)} ${entry}`).toBe(score);
      }
      const page = await director.get(`${n.path('')}heats/h1/rulings`);
      const newest = Math.max(...[...page.body.matchAll(/id="record-(\d+)"/g)].map((m) => Number(m[1])));
      expect((await rule({ kind: 'undo', n: String(newest) })).statusCode).toBe(303);
      expect(await scores(director, n)).toEqual(raw);
    }
  });

  test('a ruling that names nothing, or a number out of range, changes nothing', async () => {
    const { n, director, rule } = await running();
    const raw = await scores(director, n);
    const unknown = JSON.stringify({ device: 's1', boot: 'b1', seq: 99 });
    for (const fields of [
      { kind: 'judge', crossing: unknown, value: '1' },
      { kind: 'judge', crossing: 'nonsense', value: '1' },
      { kind: 'part', lane: '1', value: '100' },
      { kind: 'part', lane: '7', value: '10' },
      { kind: 'total', lane: '1', value: '-1' },
      { kind: 'adjust', lane: '1', value: 'much' },
      { kind: 'adjust', value: '1' },
      { kind: 'exclude', entry: 'nobody', value: 'race' },
      { kind: 'undo', n: '1' },
      { kind: 'dance' },
    ] as Record<string, string>[]) {
      expect((await rule(fields)).statusCode, JSON.stringify(fields)).toBe(422);
    }
    expect(await scores(director, n)).toEqual(raw);
  });

  test('void and rerun puts the same line-up on the plan again', async () => {
    const { n, director } = await running();
    const again = await director.post(`${n.path('')}heats/h1/rerun`, { why: 'breaker tripped' });
    expect(again.statusCode).toBe(303);
    const rows = await results(director, n);
    expect(rows?.every(({ score }) => score === 0)).toBe(true);
    t.clock.advance(3 * s);
    expect((await press(director, n, 'h3', 'arm')).statusCode).toBe(303);
    const log = await director.get(`${n.path('')}log.jsonl`);
    expect(log.body).toContain('"id":"h3","race":"r1"');
    expect(log.body).toContain('"reruns":"h1"');
  });

  test('cancelling a countdown is recorded at the start, void, and run again', async () => {
    const { n, director } = await night();
    await press(director, n, 'h1', 'arm');
    await press(director, n, 'h1', 'start');
    t.clock.advance(2 * s);
    expect((await director.post(`${n.path('')}heats/h1/rerun`, {})).statusCode).toBe(303);
    t.clock.advance(10 * s);
    expect(await stateOf(director, n)).toBe('idle');
    expect((await press(director, n, 'h3', 'arm')).statusCode).toBe(303);
  });

  test('after the confirmation a crossing is late until somebody counts it, and the standing gets a revision', async () => {
    const { n, director, rule } = await running();
    await director.post(`${n.path('')}heats/h1/parts`, {});
    await press(director, n, 'h1', 'confirm');
    const before = await results(director, n);
    await n.crossLate([2, t.clock.nowUs() - 20 * s]);
    expect(await results(director, n)).toEqual(before);
    const crossing = JSON.stringify({ device: 's1', boot: 'b1', seq: 6 });
    expect((await rule({ kind: 'judge', crossing, value: '1' })).statusCode).toBe(303);
    expect((await results(director, n))?.find(({ entry }) => entry === 'e2')?.laps).toBe(2);
    expect((await director.get(`${n.path('')}results`)).body).toMatch(/revision 2/i);
  });

  test('nobody gets more heats than the race gives each: not by a start, not by undoing what made a heat void', async () => {
    const { n, director, rule } = await running({ heatsPerEntry: 1 });
    await director.post(`${n.path('')}heats/h1/rerun`, {});
    t.clock.advance(3 * s);
    // Only h1, now void, or its rerun can be the one heat of each.
    await press(director, n, 'h3', 'arm');
    await press(director, n, 'h3', 'start');
    t.clock.advance(70 * s);
    const page = await director.get(`${n.path('')}heats/h1/rulings`);
    const voided = Math.max(...[...page.body.matchAll(/id="record-(\d+)"/g)].map((m) => Number(m[1])));
    const undone = await rule({ kind: 'undo', n: String(voided) });
    expect(undone.statusCode).toBe(422);
    expect(undone.body).toContain('more heats than this race gives each');
    await press(director, n, 'h2', 'arm');
    expect((await press(director, n, 'h2', 'start')).statusCode).toBe(422);
    expect(readLog((await director.get(`${n.path('')}log.jsonl`)).rawPayload).refusal).toBeUndefined();
  });

  test('there is nothing to rule on before a heat is started', async () => {
    const { n, director } = await night();
    const rule = (heat: string, fields: Record<string, string>) =>
      director.post(`${n.path('')}heats/${heat}/rule`, fields);
    expect((await rule('h1', { kind: 'adjust', entry: 'e1', value: '1' })).statusCode).toBe(422);
    await press(director, n, 'h1', 'arm');
    expect((await rule('h1', { kind: 'part', lane: '1', value: '10' })).statusCode).toBe(422);
    expect((await director.get(`${n.path('')}heats/h1/rulings`)).body).toContain('nothing to rule on yet');
  });

  test('a crossing on a lane that the night does not have is in no log', async () => {
    const { n, director } = await running();
    await n.cross([3, t.clock.nowUs() - 60 * s]);
    const log = await director.get(`${n.path('')}log.jsonl`);
    expect(readLog(log.rawPayload).refusal).toBeUndefined();
    expect(log.body).not.toContain('"lane":3');
  });

  test('after a change of what counts, laps and standings of confirmed heats are kept anew', async () => {
    const { n, director } = await running();
    await director.post(`${n.path('')}heats/h1/parts`, {});
    await press(director, n, 'h1', 'confirm');
    const kept = () =>
      t.db.readClub(n.clubId, async (tx) => ({
        laps: (await tx.select().from(lap).where(eq(lap.clubId, n.clubId))).length,
        revisions: (await tx.select().from(standing).where(eq(standing.clubId, n.clubId))).length,
      }));
    expect(await kept()).toEqual({ laps: 3, revisions: 1 });
    // Lane 1 drove laps of 10 s: from now on they are bounces, and two of them a lap of 20 s.
    const night = { startMode: 'ahead', holdRoll: '2', endRoll: '2', [minLapField(1)]: '11', [minLapField(2)]: '2' };
    expect((await director.post(n.path('night'), night)).statusCode).toBe(303);
    expect(await kept()).toEqual({ laps: 2, revisions: 2 });
  });
});
