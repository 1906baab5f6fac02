import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readLog } from '../../server/archive/log-read.ts';
import { insertClub } from '../../server/clubs/store.ts';
import { eventKinds, rulingKinds } from '../../server/heats/facts.ts';
import { countMeeting } from '../../server/results/count.ts';
import { resultsJson } from '../../server/results/results-json.ts';
import { randomFrom } from '../../server/shared/random.ts';
import { signedIn, startTestApp, type TestApp } from '../helpers/app.ts';
import { type CommandedNight, sendAnything } from '../helpers/night-commands.ts';
import { type NightPlan, plantNight } from '../helpers/planted-night.ts';
import { addSensor, TestSensor } from '../helpers/sensors.ts';

/**
 * Whatever people do in whatever order: nothing breaks, the meeting's log can be taken in again, and it gives the same
 * results as the pages. Commands are random and the same in every run.
 */

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const commandsPerNight = 100;
/** The kinds of facts that the nights have brought about. */
const written = new Set<string>();

async function open(seed: number, race: NonNullable<NightPlan['race']>): Promise<CommandedNight> {
  const night = await plantNight(t.db, {
    slug: `walk${seed}`,
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
  await director.get(night.path('control'));
  const { token } = await addSensor(t.db, night);
  const sensor = new TestSensor(t.app, token);
  const rest = { random: randomFrom(seed), reported: 0 };
  const facts = readLog((await director.get(night.path('log.jsonl'))).rawPayload).facts;
  if (!facts) throw new Error('the planted night has no sound log');
  return { test: t, night, director, sensor, facts, ...rest };
}

const races: [seed: number, NonNullable<NightPlan['race']>][] = [
  [1, { durationMs: 60_000 }],
  [2, { durationMs: 60_000, firstTo: 4 }],
  [3, { format: 'laps', durationMs: null, laps: 3 }],
  [4, { durationMs: 60_000, missing: 'mean' }],
];

describe.each(races)('night %i', (seed, race) => {
  test('commands in any order leave a log that can be taken in and gives the same results', async () => {
    const n = await open(seed, race);
    const sent: string[] = [];
    for (let i = 0; i < commandsPerNight; i += 1) {
      const { what, answer } = await sendAnything(n);
      sent.push(what);
      const story = sent.slice(-12).join('\n');
      if (answer) expect(answer.statusCode, story).toBeLessThan(500);
      // What was refused has changed nothing.
      if (answer === null || answer.statusCode >= 400) continue;
      const reading = readLog((await n.director.get(n.night.path('log.jsonl'))).rawPayload);
      expect(reading.refusal, story).toBeUndefined();
      n.facts = reading.facts ?? n.facts;
      if (i % 4 !== 0) continue;
      const shown = (await n.director.get(n.night.path('results.json'))).body;
      expect(resultsJson(countMeeting(n.facts).races), story).toBe(shown);
    }
    for (const { fact } of n.facts.journal) written.add(fact.kind);

    const id = `${n.night.slug}-copy`;
    await t.db.withClub(id, (tx) => insertClub(tx, { id, slug: id, name: id, zone: 'UTC' }));
    const director = await signedIn(t, id, 'director');
    await director.get(`/c/${id}/import`);
    const bytes = (await n.director.get(n.night.path('log.jsonl'))).rawPayload;
    const taken = await director.upload(`/c/${id}/import`, 'log', { name: 'log.jsonl', bytes });
    expect(taken.statusCode, taken.body).toBe(303);
    const results = String(taken.headers.location).replace(/\/results\?.*$/, '/results.json');
    expect((await director.get(results)).body).toBe((await n.director.get(n.night.path('results.json'))).body);
  });
});

test('between them the nights have been through every event and ruling', () => {
  expect([...written].sort()).toEqual([...eventKinds, ...rulingKinds].sort());
});
