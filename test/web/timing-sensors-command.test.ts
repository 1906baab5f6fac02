import type { AddressInfo } from 'node:net';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Database, openDatabase } from '../../db/client.ts';
import { buildApp } from '../../server/app.ts';
import { monotonicUs, systemClock } from '../../server/clock.ts';
import { readConfig } from '../../server/config.ts';
import { runCommand } from '../helpers/command.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';
import { createTestDatabase, type TestDatabase } from '../helpers/postgres.ts';
import { addSensor, storedCrossings } from '../helpers/sensors.ts';

// The whole way: the program's own command over HTTP on a port, against the whole server with its real clock.

let database: TestDatabase;
let db: Database;
let app: Awaited<ReturnType<typeof buildApp>>;
let url: string;
let night: PlantedNight;
const clock = systemClock({ monotonicUs: monotonicUs(), wallUs: 1_800_000_000_000_000 });
const second = 1_000_000;

beforeAll(async () => {
  database = await createTestDatabase();
  db = openDatabase(database.address, { max: 4 });
  const read = readConfig({ LOG_LEVEL: 'silent' });
  if ('problems' in read) throw new Error(read.problems.join());
  app = await buildApp({ config: read.config, db, clock });
  await app.listen({ port: 0, host: '127.0.0.1' });
  url = `http://127.0.0.1:${(app.server.address() as AddressInfo).port}`;
  night = await plantNight(db, { lanes: 4, drivers: ['Ann', 'Bo'], heats: [{ lanes: [1, 2, 0, 0] }] });
});

afterAll(async () => {
  await app.close();
  await db.close();
  await database.drop();
});

const sensors = (...args: string[]) => runCommand('sensors', '--url', url, ...args);

async function kept(id: string) {
  return (await storedCrossings(db, night.clubId)).filter(({ deviceId }) => deviceId === id);
}

describe('lanewise sensors', () => {
  test('every crossing is stored once though a third of the answers are lost', async () => {
    const { id, token } = await addSensor(db, night, 32);
    const began = clock.nowUs();
    const run = await sensors(
      '--token',
      token,
      '--for',
      '4',
      '--lap',
      '0.5',
      '--drop',
      '0.33',
      '--json',
      '--seed',
      '5',
    );
    expect(run).toMatchObject({ code: 0 });
    const counts = JSON.parse(run.out) as Record<string, number>;
    const rows = await kept(id);
    expect(rows.length).toBe(counts.crossings);
    expect(rows.length).toBeGreaterThan(15);
    expect(counts.retries).toBeGreaterThan(0);
    expect((counts.stored ?? 0) + (counts.duplicate ?? 0)).toBe(counts.crossings);
    expect(counts).toMatchObject({ conflict: 0, rejected: 0, unsent: 0 });
    expect(new Set(rows.map(({ lane }) => lane))).toEqual(new Set([1, 2, 3, 4]));
    for (const row of rows) {
      expect(row.atUs).toBeGreaterThan(began);
      expect(row.atUs).toBeLessThan(clock.nowUs());
    }
  });

  test('follows the heat: no crossing but while it runs, on the lanes of the heat', async () => {
    const { id, token } = await addSensor(db, night, 64);
    const run = sensors(
      '--token',
      token,
      '--follow',
      `${url}${night.path('').slice(0, -1)}`,
      '--for',
      '7',
      '--lap',
      '0.6',
      '--bits',
      '64',
    );
    const at = (afterUs: number) => clock.nowUs() + afterUs;
    await new Promise((resolve) => setTimeout(resolve, 1_000));
    await night.press('h1', 'arm', at(0));
    const startUs = at(0);
    await night.press('h1', 'start', startUs);
    await new Promise((resolve) => setTimeout(resolve, 3_000));
    const stopUs = at(0);
    await night.press('h1', 'stop', stopUs);
    const { code, err } = await run;
    expect(code).toBe(0);
    expect(err).toContain('The heat is running.');
    const rows = await kept(id);
    expect(rows.length).toBeGreaterThan(4);
    expect(new Set(rows.map(({ lane }) => lane))).toEqual(new Set([1, 2]));
    expect(Math.min(...rows.map(({ atUs }) => atUs))).toBeGreaterThan(startUs);
    // It asks every half second, and cars roll for up to a second.
    expect(Math.max(...rows.map(({ atUs }) => atUs))).toBeLessThan(stopUs + 2 * second);
  });

  test('a wrong token ends it with a sentence', async () => {
    const { token } = await addSensor(db, night);
    const wrong = token.slice(0, -4) + (token.endsWith('AAAA') ? 'BBBB' : 'AAAA');
    const run = await sensors('--token', wrong, '--for', '20');
    expect(run.code).toBe(1);
    expect(run.err).toContain('(401)');
  });

  test('without --url it reports to the server whose heat it follows', async () => {
    const { token } = await addSensor(db, night);
    const wrong = token.slice(0, -4) + (token.endsWith('AAAA') ? 'BBBB' : 'AAAA');
    const heat = `${url}${night.path('').slice(0, -1)}`;
    const run = await runCommand('sensors', '--token', wrong, '--follow', heat, '--for', '20');
    expect(run.err).toContain('(401)');
  });

  test.each([
    [[], '--token'],
    [['--token', 'x', '--lanes', '0'], '--lanes must be a whole number from 1 to 16.'],
    [['--token', 'x', '--bits', '16'], '--bits must be 32 or 64.'],
    [['--token', 'x', '--drop', '1'], '--drop must be a number from 0 to 0.99.'],
    [['--token', 'x', '--follow', 'here'], '--follow must be the address'],
    [['--token', 'x', '--laps', '3'], '--laps'],
  ])('wrong use %j: exit code 2 and a sentence', async (args, sentence) => {
    const run = await runCommand('sensors', ...args);
    expect(run).toMatchObject({ code: 2, out: '' });
    expect(run.err).toContain(sentence);
  });

  test('--help says what there is', async () => {
    const run = await runCommand('sensors', '--help');
    expect(run.code).toBe(0);
    for (const option of [
      'url',
      'follow',
      'for',
      'token',
      'lanes',
      'lap',
      'seed',
      'bounces',
      'misses',
      'crashes',
      'drop',
      'bits',
      'speed',
      'json',
    ]) {
      expect(run.out).toContain(`--${option} `);
    }
  });
});
