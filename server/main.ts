import { readFileSync } from 'node:fs';
import { networkInterfaces } from 'node:os';
import path from 'node:path';
import { renderUnicodeCompact } from 'uqr';
import { type Database, type DatabaseAddress, openDatabase } from '../db/client.ts';
import { anchorClock } from '../db/clock-anchor.ts';
import { defaultCacheDir, defaultDataDir } from '../db/data-dir.ts';
import { EmbeddedError, type EmbeddedEvent, findEmbedded, startEmbedded } from '../db/embedded.ts';
import { migrate, NewerSchemaError, pendingMigrations } from '../db/migrate.ts';
import { embedded as embeddedTexts } from '../views/texts/en/embedded.ts';
import { start as t } from '../views/texts/en/start.ts';
import { buildApp } from './app.ts';
import { monotonicUs, systemClock } from './clock.ts';
import { freshSetupPath } from './clubs/actions.ts';
import { type Config, readConfig } from './config.ts';
import { projectRoot } from './plugins/assets.ts';
import { lanAddress } from './shared/lan-address.ts';
import { assertDurable, NotDurableError } from './timing/durability-actions.ts';
import { threadPool } from './work/pool.ts';

/** A start that cannot work, in one plain sentence for whoever started it. */
export class StartError extends Error {}

/** The database of this environment, with its schema up to date. */
export type OpenedDatabase = { config: Config; db: Database; dataDir: string | null; close(): Promise<void> };

const migrationsFolder = path.join(projectRoot(), 'db/migrations');

/** Reads the options from the environment. */
function configFromEnvironment(): Config {
  const read = readConfig(process.env);
  if ('problems' in read) throw new StartError(t.badOptions(read.problems));
  return read.config;
}

/**
 * Opens the database that the environment names, or the bundled one, and migrates it.
 *
 * @param share also take the bundled database of a Lanewise that is running already: for commands beside a server
 * @throws StartError with the sentence to print
 */
export async function openFromEnvironment(share: boolean): Promise<OpenedDatabase> {
  const config = configFromEnvironment();
  const { address, dataDir, stop } = await findDatabase(config, share);
  let db: Database | null = null;
  try {
    if (config.migrate) await migrate(address, migrationsFolder);
    else if ((await pendingMigrations(address, migrationsFolder)) > 0) throw new StartError(t.behind);
    db = openDatabase(address);
    await assertDurable(db);
    const opened = db;
    return {
      config,
      db: opened,
      dataDir,
      async close() {
        await opened.close();
        await stop();
      },
    };
  } catch (error) {
    await db?.close();
    await stop();
    throw inPlainWords(error, config);
  }
}

/** Brings the schema up to date, whatever `MIGRATE` says. @returns how many migrations were applied */
export async function migrateFromEnvironment(): Promise<number> {
  const config = configFromEnvironment();
  const { address, stop } = await findDatabase(config, true);
  try {
    const pending = await pendingMigrations(address, migrationsFolder);
    await migrate(address, migrationsFolder);
    return pending;
  } catch (error) {
    throw inPlainWords(error, config);
  } finally {
    await stop();
  }
}

function inPlainWords(error: unknown, config: Config): unknown {
  if (error instanceof NewerSchemaError) return new StartError(t.newerSchema);
  if (error instanceof NotDurableError) return new StartError(error.message);
  if (error instanceof StartError || config.databaseUrl === null) return error;
  return new StartError(t.noDatabase(wordsOf(error)));
}

async function findDatabase(
  config: Config,
  share: boolean,
): Promise<{ address: DatabaseAddress; dataDir: string | null; stop(): Promise<void> }> {
  if (config.databaseUrl !== null) return { address: config.databaseUrl, dataDir: null, stop: async () => {} };
  const dataDir = config.dataDir ?? defaultDataDir();
  const running = share ? await findEmbedded(dataDir) : null;
  if (running) return { address: running, dataDir, stop: async () => {} };
  try {
    const embedded = await startEmbedded({ dataDir, cacheDir: defaultCacheDir(), report: reportDatabase });
    return { address: embedded.options, dataDir, stop: () => embedded.stop() };
  } catch (error) {
    if (error instanceof EmbeddedError) throw new StartError(embeddedTexts[error.code](dataDir, error.detail));
    throw error;
  }
}

function reportDatabase(event: EmbeddedEvent): void {
  if (event.kind === 'ended') warn(t.databaseEnded);
  else if (event.kind === 'restarted') warn(t.databaseBack(event.downMs));
  else warn(t.databaseGone);
}

/** The kernel's id of this boot; null on systems that have none. */
function bootId(): string | null {
  try {
    return readFileSync('/proc/sys/kernel/random/boot_id', 'utf8').trim();
  } catch {
    return null;
  }
}

/**
 * Runs the server until a signal ends it.
 *
 * @param json print one JSON document instead of words
 * @returns the exit code
 */
export async function serve(json: boolean): Promise<number> {
  const opened = await openFromEnvironment(false);
  const { config, db } = opened;
  try {
    const clock = systemClock(await anchorClock(db, bootId(), monotonicUs));
    const app = await buildApp({ config, db, clock, work: threadPool() });
    const ended = untilSignal();
    await app.listen({ port: config.port, host: config.host }).catch((error: NodeJS.ErrnoException) => {
      if (error.code === 'EADDRINUSE') throw new StartError(t.portTaken(config.port));
      if (error.code === 'EACCES') throw new StartError(t.portForbidden(config.port));
      if (/^(EADDRNOTAVAIL|ENOTFOUND|EAI_AGAIN|EINVAL)$/.test(error.code ?? '')) {
        throw new StartError(t.hostWrong(config.host));
      }
      throw error;
    });
    const address = app.server.address();
    const port = typeof address === 'object' && address !== null ? address.port : config.port;
    await announce(opened, port, json);
    await ended;
    if (!json) say(t.stopping);
    await app.close();
    return 0;
  } finally {
    await opened.close();
  }
}

/** Prints the addresses, a code to scan, and the one-time link. The link goes to the terminal only, never to a log. */
async function announce({ config, db, dataDir }: OpenedDatabase, port: number, json: boolean): Promise<void> {
  const here = `http://localhost:${port}`;
  const own = lanAddress(Object.values(networkInterfaces()).flatMap((list) => list ?? []));
  const network = config.publicUrl ?? (own && config.host !== '127.0.0.1' ? `http://${own}:${port}` : null);
  const path = await freshSetupPath(db);
  const link = `${config.publicUrl ?? here}${path}`;
  if (json) return say(JSON.stringify({ url: here, network, link, data: dataDir }));
  say(`\n${t.running}\n\n${t.here(here)}`);
  if (network) say(`${t.network(network)}\n\n${t.scan}\n${renderUnicodeCompact(network)}`);
  say(`${path.startsWith('/setup') ? t.setUp : t.signIn}\n\n  ${link}\n`);
  if (dataDir) say(t.data(dataDir));
  say(t.stop);
}

function untilSignal(): Promise<void> {
  return new Promise((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.once(signal, () => resolve());
  });
}

function wordsOf(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  const code = 'code' in error && typeof error.code === 'string' ? error.code : '';
  return [error.message.split('\n')[0], code].filter(Boolean).join(', ');
}

function say(text: string): void {
  process.stdout.write(`${text}\n`);
}

/** What happened meanwhile: never in the way of a document on standard output. */
function warn(text: string): void {
  process.stderr.write(`${text}\n`);
}
