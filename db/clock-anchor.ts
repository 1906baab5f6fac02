import { eq, sql } from 'drizzle-orm';
import type { Database } from './client.ts';
import { clockAnchor } from './schema/index.ts';

const tries = 8;

/**
 * The anchor of the server's time scale for this boot of this machine. The first process of a boot makes it from the
 * database's clock (the reading with the least round trip of eight); every later one continues it.
 *
 * @param bootId the kernel's id of this boot, or null where the system has none: then the anchor is the process's own
 * @param monotonicUs the machine's monotonic clock in microseconds
 */
export async function anchorClock(
  db: Database,
  bootId: string | null,
  monotonicUs: () => number,
): Promise<{ monotonicUs: number; wallUs: number }> {
  const orm = db.clubless;
  if (bootId !== null) {
    const [known] = await orm.select().from(clockAnchor).where(eq(clockAnchor.bootId, bootId));
    if (known) return known;
  }
  let best = { tripUs: Number.POSITIVE_INFINITY, monotonicUs: 0, wallUs: 0 };
  for (let i = 0; i < tries; i += 1) {
    const before = monotonicUs();
    const [row] = await orm.execute<{ us: string }>(
      sql`select (extract(epoch from clock_timestamp()) * 1000000)::bigint::text as us`,
    );
    const tripUs = monotonicUs() - before;
    if (row && tripUs < best.tripUs) {
      best = { tripUs, monotonicUs: before + Math.floor(tripUs / 2), wallUs: Number(row.us) };
    }
  }
  const anchor = { monotonicUs: best.monotonicUs, wallUs: best.wallUs };
  if (bootId === null) return anchor;
  await orm
    .insert(clockAnchor)
    .values({ bootId, ...anchor })
    .onConflictDoNothing();
  const [agreed] = await orm.select().from(clockAnchor).where(eq(clockAnchor.bootId, bootId));
  return agreed ?? anchor;
}
