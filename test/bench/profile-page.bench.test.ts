import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { addProfile, saveVersion } from '../../server/profiles/actions.ts';
import { defaultTuning, type Profile } from '../../server/profiles/model/profile.ts';
import { presets } from '../../server/profiles/motor/motor.ts';
import { presetNames } from '../../server/profiles/motor/motor-schema.ts';
import { motorStory } from '../../server/profiles/motor/story.ts';
import { picturesOf } from '../../server/profiles/pictures.ts';
import { startTestApp, type TestApp, type Visitor } from '../helpers/app.ts';
import { emptyClub } from '../helpers/own-pages.ts';

/**
 * All figures of a profile's page (curves, map of 41 by 41, runs of 3 s, stops, with a second profile laid over), and the
 * page as it is served, database and HTML included.
 */
const limitMs = 100;
const rounds = 15;

const own: Profile = { ...defaultTuning, name: 'Hairpins' };
/** Nothing of it has a closed form: everything is chopped, ramped and limited. */
const chopped: Profile = {
  ...defaultTuning,
  name: 'Wet',
  maxDrive: 700,
  rampUpMs: 500,
  brakeFull: 550,
  drag: { strength: 300, zoneFrom: 0, zoneTo: 600, closingOnly: false },
  curve: {
    kind: 'points',
    points: [
      [0, 0],
      [300, 120],
      [700, 420],
      [1000, 1000],
    ],
  },
};

/** Median of the CPU time of several rounds, after one to warm up. */
async function cpuMs(work: () => unknown): Promise<number> {
  await work();
  const times: number[] = [];
  for (let round = 0; round < rounds; round++) {
    const before = process.cpuUsage();
    await work();
    const { user, system } = process.cpuUsage(before);
    times.push((user + system) / 1000);
  }
  return times.sort((a, b) => a - b)[Math.floor(rounds / 2)] as number;
}

const report = (what: string, ms: number) =>
  console.log(`${what}: ${ms.toFixed(1)} ms of CPU, ${(ms / limitMs).toFixed(2)} of the limit`);

describe('figures of a page', () => {
  const cases = presetNames.flatMap((preset) =>
    [200, 2000, 5000].map((pwmHz) => ({ preset, pwmHz, what: `${preset}, ${pwmHz} Hz` })),
  );

  it.each(cases)('$what', async ({ preset, pwmHz, what }) => {
    const first = { ...chopped, pwmHz };
    const ms = await cpuMs(() => {
      picturesOf(first, own, null);
      motorStory(first, presets[preset], own);
    });
    report(what, ms);
    expect(ms).toBeLessThan(limitMs);
  });
});

describe('the page', () => {
  let t: TestApp;
  let director: Visitor;
  let address = '';
  beforeAll(async () => {
    t = await startTestApp();
    director = (await emptyClub(t)).director;
    await t.db.withClub('owls', (tx) =>
      tx.execute(sql`insert into driver (club_id, id, nickname, nickname_key) values ('owls', 'd1', 'Moth', 'moth')`),
    );
    const fresh = {
      driverId: 'd1',
      carId: null,
      trackId: null,
      setup: own,
      note: '',
      author: 'Moth',
      origin: null,
    };
    const made = await t.db.withClub('owls', (tx) => addProfile(tx, 'owls', fresh));
    if (!('id' in made)) throw new Error('no profile');
    await saveVersion(t.db, 'owls', made.id, { setup: chopped, note: '', author: 'Moth', origin: null });
    address = `/c/owls/profiles/${made.id}`;
  });
  afterAll(() => t.close());

  it('is served', async () => {
    const page = await director.get(address);
    expect(page.statusCode).toBe(200);
    expect(page.body).toContain('id="motor"');
    const ms = await cpuMs(() => director.get(address));
    report(`served page, ${Math.round(page.body.length / 1024)} KB`, ms);
    expect(ms).toBeLessThan(limitMs);
  });
});
