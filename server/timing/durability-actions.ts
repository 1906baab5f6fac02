import { sql } from 'drizzle-orm';
import type { Database } from '../../db/client.ts';
import { timing as t } from '../../views/texts/en/timing.ts';

/** The database does not promise that what it has committed is on disk. */
export class NotDurableError extends Error {
  /** PostgreSQL's settings that are off. */
  readonly settings: readonly string[];

  constructor(settings: readonly string[]) {
    super(t.notDurable(settings));
    this.settings = settings;
  }
}

/**
 * Makes sure that a commit of this database means "on disk": sensors forget what was answered.
 *
 * @throws NotDurableError naming what is switched off; its message is a sentence for whoever starts the program
 */
export async function assertDurable(db: Database): Promise<void> {
  const [row] = await db.clubless.execute<Record<string, string>>(sql`
    select current_setting('fsync') as fsync, current_setting('synchronous_commit') as synchronous_commit,
      current_setting('full_page_writes') as full_page_writes`);
  const off = Object.entries(row ?? {}).flatMap(([name, value]) => (value === 'off' ? [`${name} = off`] : []));
  if (off.length > 0) throw new NotDurableError(off);
}
