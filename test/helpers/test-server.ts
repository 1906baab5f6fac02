import { chmodSync, mkdirSync } from 'node:fs';
import path from 'node:path';
import { type DatabaseAddress, openSql } from '../../db/client.ts';
import { startEmbedded } from '../../db/embedded.ts';
import { migrate } from '../../db/migrate.ts';

/** Where tests make their databases, and the migrated one they are copies of. */
export type TestServer = { address: DatabaseAddress; template: string };

const repository = path.resolve(import.meta.dirname, '../..');

/** The same server, another database on it. */
export function databaseOn(address: DatabaseAddress, database: string): DatabaseAddress {
  if (typeof address !== 'string') return { ...address, database };
  const url = new URL(address);
  url.pathname = `/${database}`;
  return url.href;
}

/**
 * Starts the server of a test run: that of TEST_DATABASE_URL, else a bundled one in `folder` that flushes nothing.
 *
 * @returns the server, and a function that leaves nothing of it behind
 */
export async function startTestServer(folder: string): Promise<TestServer & { stop(): Promise<void> }> {
  const url = process.env.TEST_DATABASE_URL;
  const embedded = url ? null : await startBundled(folder);
  const address = embedded ? { ...embedded.options, database: 'postgres' } : (url ?? '');
  const template = `lanewise_template_${process.pid}`;
  const admin = openSql(address, { max: 1 });
  await admin.unsafe(`create database ${template}`);
  await migrate(databaseOn(address, template), path.join(repository, 'db/migrations'));
  return {
    address,
    template,
    async stop() {
      if (!embedded) await admin.unsafe(`drop database ${template} with (force)`);
      await admin.end({ timeout: 5 });
      await embedded?.stop();
    },
  };
}

function startBundled(folder: string) {
  chmodSync(folder, 0o755); // as root the database runs as another user
  mkdirSync(path.join(folder, 'data'));
  return startEmbedded({
    dataDir: path.join(folder, 'data'),
    cacheDir: path.join(folder, 'cache'),
    sync: false,
    settings: { autovacuum: 'off', jit: 'off' },
  });
}
