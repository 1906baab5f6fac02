import { readFileSync } from 'node:fs';
import path from 'node:path';
import { drizzle } from 'drizzle-orm/postgres-js';
import { migrate as runMigrations } from 'drizzle-orm/postgres-js/migrator';
import type { Sql } from 'postgres';
import { type DatabaseAddress, openSql } from './client.ts';

/** Any number will do, as long as every Lanewise process uses the same. */
const lockKey = 4_805_171_203;

/** The database's schema was made by a newer version of the program. */
export class NewerSchemaError extends Error {}

/**
 * Brings the schema up to date. Several processes may call it at once: an advisory lock, held by the same connection
 * for the whole run, lets one work and the others wait.
 *
 * @param folder folder of the migrations
 * @throws NewerSchemaError when the database has more migrations than this program knows
 */
export async function migrate(address: DatabaseAddress, folder: string): Promise<void> {
  const sql = openSql(address, { max: 1 });
  try {
    await sql`select pg_advisory_lock(${lockKey})`;
    const known = knownMigrations(folder);
    if ((await countApplied(sql)) > known) throw new NewerSchemaError('the database was made by a newer version');
    await runMigrations(drizzle(sql), { migrationsFolder: folder });
    // The migrator skips a migration that is older than the newest applied one without a word.
    if ((await countApplied(sql)) !== known) throw new Error('some migrations were not applied: their order is broken');
  } finally {
    await sql.end({ timeout: 5 });
  }
}

/** How many migrations this program has that the database has not. */
export async function pendingMigrations(address: DatabaseAddress, folder: string): Promise<number> {
  const sql = openSql(address, { max: 1 });
  try {
    const applied = await countApplied(sql);
    const known = knownMigrations(folder);
    if (applied > known) throw new NewerSchemaError('the database was made by a newer version');
    return known - applied;
  } finally {
    await sql.end({ timeout: 5 });
  }
}

function knownMigrations(folder: string): number {
  const journal = JSON.parse(readFileSync(path.join(folder, 'meta/_journal.json'), 'utf8')) as { entries: unknown[] };
  return journal.entries.length;
}

async function countApplied(sql: Sql): Promise<number> {
  const [table] = await sql`select to_regclass('drizzle.__drizzle_migrations') as name`;
  if (!table?.name) return 0;
  const [row] = await sql`select count(*)::int as n from drizzle.__drizzle_migrations`;
  return Number(row?.n ?? 0);
}
