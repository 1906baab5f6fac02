import type { Database } from '../../db/client.ts';
import { updateSlowGuard } from '../pace/pace-store.ts';
import type { SlowGuardOptions } from '../pace/slow-guard.ts';

/** Changes how far handicaps follow slowness, in heats that are worked out from now on. */
export async function setSlowGuard(db: Database, clubId: string, guard: SlowGuardOptions): Promise<void> {
  await db.withClub(clubId, (tx) => updateSlowGuard(tx, clubId, guard));
}
