import { lapImport, pastLap } from '../../db/schema/index.ts';
import { randomFrom } from '../../server/shared/random.ts';
import type { TestApp } from './app.ts';
import { type NightPlan, type PlantedNight, plantNight } from './planted-night.ts';

/** Seconds of a clean lap, driver by driver: `d1`, `d2`, … */
export const lapsS = [5, 5.25, 5.5, 6] as const;

/** A planted night of a club whose drivers have raced on the track on earlier nights, as `lapsS` says. */
export async function nightWithPast(t: TestApp, plan: NightPlan, nights = 6): Promise<PlantedNight> {
  const night = await plantNight(t.db, plan);
  await addPast(t, night, Math.min(plan.drivers.length, lapsS.length), nights);
  return night;
}

/** Stores earlier nights of the first drivers and waits until pace was worked out from them. */
export async function addPast(t: TestApp, night: PlantedNight, drivers: number, nights = 6): Promise<void> {
  const { clubId, trackId } = night;
  const random = randomFrom(7);
  const rows: (typeof pastLap.$inferInsert)[] = [];
  for (let n = 1; n <= nights; n += 1) {
    for (let heat = 1; heat <= 4; heat += 1) {
      for (let d = 0; d < drivers; d += 1) {
        const level = Math.log(lapsS[d] as number) + 0.008 * random.normal();
        for (let lap = 1; lap <= 20; lap += 1) {
          const timeUs = Math.round(1e6 * Math.exp(level + 0.02 * random.normal()));
          const place = { lane: ((d + heat) % 3) + 1, driverId: `d${d + 1}`, classId: 'c1', lap, timeUs, flag: '' };
          const when = { night: n, heat: `${heat}`, startS: heat * 300 };
          rows.push({ clubId, importId: 'i1', row: rows.length + 1, track: trackId, ...when, ...place });
        }
      }
    }
  }
  await t.db.withClub(clubId, async (tx) => {
    const made = { drivers: [], classes: [] };
    await tx.insert(lapImport).values({ clubId, id: 'i1', name: 'Past', rows: rows.length, nights, made });
    for (let i = 0; i < rows.length; i += 1000) await tx.insert(pastLap).values(rows.slice(i, i + 1000));
  });
  await t.app.fits.ensure(clubId);
  await t.app.fits.settled(clubId);
}
