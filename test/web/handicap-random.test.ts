import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readLog } from '../../server/archive/log-read.ts';
import { selectHeatHandicaps } from '../../server/handicap/store.ts';
import { countMeeting } from '../../server/results/count.ts';
import { resultsJson } from '../../server/results/results-json.ts';
import { randomFrom } from '../../server/shared/random.ts';
import { signedIn, startTestApp, type TestApp } from '../helpers/app.ts';
import { nightWithPast } from '../helpers/handicap-night.ts';
import { sendAnything } from '../helpers/night-commands.ts';
import { addSensor, TestSensor } from '../helpers/sensors.ts';

/** Nights with handicaps, whatever people do in whatever order; see random-night.test.ts. */

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const commands = 45;

describe.each([
  [11, 'credit', { durationMs: 60_000 }],
  [12, 'credit', { format: 'laps', durationMs: null, laps: 3 }],
  [13, 'delay', { durationMs: 60_000, firstTo: 4 }],
] as const)('night %i, %s', (seed, mode, race) => {
  test('every log can be taken in, and what is told are numbers', async () => {
    const night = await nightWithPast(t, {
      slug: `even${seed}`,
      lanes: 3,
      drivers: ['Driver 1', 'Driver 2', 'Driver 3', 'Driver 4'],
      heats: [
        { lanes: [1, 2, 3], marshals: [4] },
        { lanes: [2, 3, 4], marshals: [1] },
        { lanes: [3, 4, 1], marshals: [2] },
      ],
      race: { countdownMs: 3000, heatsPerEntry: 3, ...race },
    });
    const director = await signedIn(t, night.clubId, 'director');
    const page = night.path('races/r1/handicap');
    await director.get(page);
    await director.post(page, { mode, dial: '100', cap: '', round: '0.1', 'byHand-0': 'on', 'amount-0': '1.5' });
    const { token } = await addSensor(t.db, night);
    const facts = readLog((await director.get(night.path('log.jsonl'))).rawPayload).facts;
    if (!facts) throw new Error('the planted night has no sound log');
    const sensor = new TestSensor(t.app, token);
    const n = { test: t, night, director, sensor, facts, random: randomFrom(seed), reported: 0 };
    const sent: string[] = [];
    let credits = 0;
    for (let i = 0; i < commands; i += 1) {
      const { what, answer } = await sendAnything(n);
      sent.push(what);
      const story = sent.slice(-12).join('\n');
      if (answer) expect(answer.statusCode, story).toBeLessThan(500);
      // Sometimes handicaps are worked out in time, sometimes the next command overtakes them.
      if (i % 3 === 0) await t.app.handicaps.settled();
      if (answer === null || answer.statusCode >= 400) continue;
      const reading = readLog((await director.get(night.path('log.jsonl'))).rawPayload);
      expect(reading.refusal, story).toBeUndefined();
      n.facts = reading.facts ?? n.facts;
      credits = n.facts.journal.filter(({ fact }) => 'why' in fact && fact.why === 'handicap').length;
      const shown = (await director.get(night.path('results.json'))).body;
      if (i % 4 === 0) expect(resultsJson(countMeeting(n.facts).races), story).toBe(shown);
    }
    await t.app.handicaps.settled();
    const told = await t.db.readClub(night.clubId, (tx) => selectHeatHandicaps(tx, night.clubId, night.meetingId));
    expect(told.size).toBeGreaterThan(0);
    for (const { lanes } of told.values()) {
      for (const { delayMs, credit, before, after } of lanes) {
        expect(Number.isSafeInteger(delayMs) && Number.isSafeInteger(credit) && delayMs >= 0 && credit >= 0).toBe(true);
        for (const chance of [before, after]) expect(chance === null || (chance >= 0 && chance <= 1)).toBe(true);
      }
    }
    if (mode === 'credit') expect(credits).toBeGreaterThan(0);
    else expect(credits).toBe(0);
    for (const path of [page, night.path('control'), night.path('wall'), night.path('results')]) {
      expect((await director.get(path)).body).not.toMatch(/NaN|Infinity|undefined/);
    }
  });
});
