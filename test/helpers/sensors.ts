import { eq } from 'drizzle-orm';
import type { FastifyInstance, LightMyRequestResponse } from 'fastify';
import type { Database } from '../../db/client.ts';
import { crossing, crossingConflict, device } from '../../db/schema/index.ts';
import { hashSecret, newId, newSecret } from '../../server/accounts/tokens.ts';
import { deviceToken } from '../../server/timing/device-token.ts';
import type { TestApp } from './app.ts';
import { type PlantedNight, plantNight } from './planted-night.ts';

export type TestEvent = { seq: number; lane: number; t_us: number };
export type TestAnswer = {
  stored: number[];
  duplicate: number[];
  conflict: number[];
  rejected: { seq: number; why: string }[];
  server_us: number;
};

/** Registers a sensor of a track; answers its id and its token. */
export async function addSensor(
  db: Database,
  { clubId, trackId }: { clubId: string; trackId: string },
  bits: 32 | 64 = 64,
): Promise<{ id: string; token: string }> {
  const id = newId();
  const token = deviceToken(clubId, newSecret());
  const row = { clubId, trackId, id, kind: 'sensor', name: 'Gantry', bits, tokenHash: hashSecret(token) };
  await db.withClub(clubId, (tx) => tx.insert(device).values(row));
  return { id, token };
}

/** A sensor that talks to the program without a network. Its clock runs with the test's. */
export class TestSensor {
  readonly app: FastifyInstance;
  readonly token: string;
  readonly bits: 32 | 64;
  boot = 'b1';

  constructor(app: FastifyInstance, token: string, bits: 32 | 64 = 64) {
    this.app = app;
    this.token = token;
    this.bits = bits;
  }

  /** What its clock shows. */
  nowUs(): number {
    const us = this.app.clock.nowUs() - 1_799_999_900_000_000;
    return this.bits === 32 ? us % 2 ** 32 : us;
  }

  report(events: readonly TestEvent[], more: Record<string, unknown> = {}): Promise<LightMyRequestResponse> {
    return this.send('crossings', { boot: this.boot, bits: this.bits, sent_us: this.nowUs(), events, ...more });
  }

  /** Reports and answers what became of the numbers; throws when that was refused. */
  async crossed(...events: TestEvent[]): Promise<TestAnswer> {
    const answer = await this.report(events);
    if (answer.statusCode !== 200) throw new Error(`${answer.statusCode}: ${answer.body}`);
    return answer.json() as TestAnswer;
  }

  beat(more: Record<string, unknown> = {}): Promise<LightMyRequestResponse> {
    const body = { boot: this.boot, bits: this.bits, sent_us: this.nowUs(), buffered: 0, rtt_us: 2_000, ...more };
    return this.send('heartbeat', body);
  }

  async finalTo(): Promise<number | null> {
    return ((await this.beat()).json() as { final_to: number | null }).final_to;
  }

  send(door: 'crossings' | 'heartbeat', body: unknown): Promise<LightMyRequestResponse> {
    return this.app.inject({
      method: 'POST',
      url: `/api/v1/${door}`,
      headers: { authorization: `Bearer ${this.token}`, 'content-type': 'application/json' },
      payload: typeof body === 'string' ? body : JSON.stringify(body),
    });
  }
}

/** All crossings of a club, in the order in which they were stored. */
export function storedCrossings(db: Database, clubId: string) {
  return db.readClub(clubId, (tx) =>
    tx.select().from(crossing).where(eq(crossing.clubId, clubId)).orderBy(crossing.factNo),
  );
}

/** All reports of a club that were set aside. */
export function setAside(db: Database, clubId: string) {
  const { seq, lane } = crossingConflict;
  return db.readClub(clubId, (tx) =>
    tx.select().from(crossingConflict).where(eq(crossingConflict.clubId, clubId)).orderBy(seq, lane),
  );
}

let nights = 0;

/** A night of its own, on four lanes with two heats, and a sensor of its own. */
export async function nightWithSensor(
  test: TestApp,
  bits: 32 | 64 = 64,
): Promise<{ night: PlantedNight; sensor: TestSensor; id: string }> {
  nights += 1;
  const night = await plantNight(test.db, {
    slug: `night${nights}`,
    lanes: 4,
    drivers: ['Ann', 'Bo'],
    heats: [{ lanes: [1, 2, 0, 0] }, { lanes: [2, 1, 0, 0] }],
  });
  const { id, token } = await addSensor(test.db, night, bits);
  return { night, id, sensor: new TestSensor(test.app, token, bits) };
}

/** Crossings a quarter of a second apart, just before now. */
export function eventsOf(sensor: TestSensor, count: number, from = 1): TestEvent[] {
  const now = sensor.nowUs();
  return Array.from({ length: count }, (_, i) => ({
    seq: from + i,
    lane: (i % 4) + 1,
    t_us: now - (count - i) * 250_000,
  }));
}

/** Whole numbers, both ends included. */
export const range = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, i) => from + i);
