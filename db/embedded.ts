import {
  chmodSync,
  chownSync,
  mkdirSync,
  mkdtempSync,
  readlinkSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
} from 'node:fs';
import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { findBinaries, openToEveryone } from './embedded/binaries.ts';
import { databaseName, ensureCluster } from './embedded/cluster.ts';
import { EmbeddedError, systemCode } from './embedded/error.ts';
import { answers, takeFolder } from './embedded/owner-lock.ts';
import { type Postmaster, type PostmasterPlan, startPostmaster } from './embedded/postmaster.ts';
import { canWrite, databaseUser, type SystemUser } from './embedded/system-user.ts';

export { EmbeddedError } from './embedded/error.ts';

/** Connection options for postgres.js. `host` is the folder of the unix socket; nothing listens on the network. */
export type EmbeddedAddress = { host: string; port: number; user: string; database: string };

/** What happens to a running database, for the program's own log. */
export type EmbeddedEvent =
  | { kind: 'ended'; exitCode: number | null }
  | { kind: 'restarted'; downMs: number }
  | { kind: 'restart_failed'; error: unknown };

export type EmbeddedPostgres = {
  /** Stays the same when the database is restarted: a pool opened with it reconnects by itself. */
  readonly options: EmbeddedAddress;
  /** Ends the database cleanly and gives the folder back. Close pools first: their sessions are cut off. */
  stop(): Promise<void>;
  /** Settles, with the last exit code, when the database has ended for good: after `stop()`. */
  readonly onExit: Promise<number | null>;
};

export type EmbeddedOptions = {
  /** Folder of everything the database keeps, made if missing; it uses the folder `postgres` in it. */
  readonly dataDir: string;
  /** Where the programs are copied to if they cannot be run in place (60 MB). */
  readonly cacheDir: string;
  /** False: nothing is flushed to disk, and a power cut may lose everything. For tests. */
  readonly sync?: boolean;
  /** PostgreSQL's own settings, by its names. */
  readonly settings?: Readonly<Record<string, string>>;
  /** Told when the database ended unasked, and when it is back or cannot be brought back yet. */
  readonly report?: (event: EmbeddedEvent) => void;
};

/** Names the socket only. */
const port = 5432;

/** A club's data is small: little write-ahead log keeps the folder small and recovery short. */
const smallDisk = { max_wal_size: '128MB', min_wal_size: '32MB', log_checkpoints: 'off' };
const unsafe = { fsync: 'off', synchronous_commit: 'off', full_page_writes: 'off' };

const restartPauseMs = 1_000;
const soonMs = 10_000;

/**
 * Starts the bundled PostgreSQL on a folder, making the database at the first start. It ends when this process ends,
 * however that happens. If PostgreSQL itself is killed it is started again, as often as needed, until `stop()`;
 * meanwhile connections fail, afterwards they work again at the same address.
 *
 * As root it runs as the owner of existing data, else as `postgres`, else as `nobody`.
 *
 * @throws EmbeddedError with a code for each thing a person can put right
 */
export async function startEmbedded(options: EmbeddedOptions): Promise<EmbeddedPostgres> {
  const sync = options.sync ?? true;
  const { folder, user } = prepareFolder(path.resolve(options.dataDir));
  const binaries = findBinaries(user, path.resolve(options.cacheDir));
  const socketFolder = makeSocketFolder(folder, user);
  const discardSocketFolder = () => rmSync(socketFolder, { recursive: true, force: true });
  let giveBack: (() => void) | null = null;
  try {
    giveBack = await takeFolder(path.join(socketFolder, 'data'));
    if (!giveBack) throw new EmbeddedError('in_use');
    announceSocketFolder(folder, socketFolder);
    const plan: PostmasterPlan = {
      postgres: binaries.postgres,
      user,
      dataDirectory: await ensureCluster(binaries, user, folder, sync),
      socketFolder,
      logFile: rotateLog(folder),
      settings: { ...smallDisk, ...(sync ? {} : unsafe), ...options.settings },
    };
    const first = await startPostmaster(plan);
    const { end, onExit } = supervise(plan, first, options.report ?? (() => {}));
    const release = giveBack;
    const stop = async () => {
      end();
      await onExit;
      discardSocketFolder();
      release();
    };
    return { options: addressIn(socketFolder), stop, onExit };
  } catch (error) {
    discardSocketFolder();
    giveBack?.();
    throw error;
  }
}

/** The address of the database that another process runs on `dataDir`; null when none runs. */
export async function findEmbedded(dataDir: string): Promise<EmbeddedAddress | null> {
  try {
    const socketFolder = readlinkSync(path.join(dataDir, 'postgres/run'));
    return (await answers(path.join(socketFolder, `.s.PGSQL.${port}`))) ? addressIn(socketFolder) : null;
  } catch {
    return null;
  }
}

const addressIn = (host: string): EmbeddedAddress => ({ host, port, user: databaseName, database: databaseName });

/** Makes `dataDir`/postgres, private to the user that runs the database. What else is in `dataDir` is left alone. */
function prepareFolder(dataDir: string): { folder: string; user: SystemUser } {
  try {
    const made = mkdirSync(dataDir, { recursive: true });
    const folder = path.join(realpathSync(dataDir), 'postgres');
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const { uid, gid } = statSync(folder);
    const user = databaseUser({ uid, gid });
    if (!user && uid !== process.getuid?.()) throw new EmbeddedError('wrong_owner', String(uid));
    chmodSync(folder, 0o700);
    if (user) {
      if (made) openToEveryone(made, dataDir);
      chownSync(folder, user.uid, user.gid);
      if (!canWrite(user, folder)) throw new EmbeddedError('unreachable', String(user.uid));
    }
    return { folder, user };
  } catch (error) {
    if (error instanceof EmbeddedError) throw error;
    throw new EmbeddedError('not_writable', systemCode(error));
  }
}

/**
 * A socket's path has room for about 100 bytes only, and a data folder may lie deep. So the socket lies in a private
 * folder with a short name; the link `data` in it is the short way to the data folder.
 */
function makeSocketFolder(folder: string, user: SystemUser): string {
  const socketFolder = mkdtempSync('/tmp/lanewise-');
  symlinkSync(folder, path.join(socketFolder, 'data'));
  if (user) chownSync(socketFolder, user.uid, user.gid);
  return socketFolder;
}

/** Notes where the socket is, in the link `run`, and removes the socket folder of a process that was killed. */
function announceSocketFolder(folder: string, socketFolder: string): void {
  const link = path.join(folder, 'run');
  const before = readlinkOrNull(link);
  if (before && /^\/tmp\/lanewise-\w{6}$/.test(before)) rmSync(before, { recursive: true, force: true });
  rmSync(`${link}.new`, { force: true });
  symlinkSync(socketFolder, `${link}.new`);
  renameSync(`${link}.new`, link);
}

function readlinkOrNull(link: string): string | null {
  try {
    return readlinkSync(link);
  } catch {
    return null;
  }
}

/** Keeps the log of PostgreSQL and one older one, each of some megabytes at most per run. */
function rotateLog(folder: string): string {
  const log = path.join(folder, 'postgres.log');
  const size = statSync(log, { throwIfNoEntry: false })?.size ?? 0;
  if (size > 4_000_000) renameSync(log, `${log}.1`);
  return log;
}

/** Starts the database again whenever it ends unasked. */
function supervise(plan: PostmasterPlan, first: Postmaster, report: (event: EmbeddedEvent) => void) {
  let current = first;
  let stopping = false;
  const end = () => {
    stopping = true;
    current.end();
  };
  const restart = async (pauseMs: number) => {
    const downSince = performance.now();
    for (let waitMs = pauseMs; !stopping; waitMs = restartPauseMs) {
      await sleep(waitMs);
      try {
        current = await startPostmaster(plan);
        report({ kind: 'restarted', downMs: Math.round(performance.now() - downSince) });
        break;
      } catch (error) {
        report({ kind: 'restart_failed', error });
      }
    }
    if (stopping) current.end();
  };
  const watch = async () => {
    for (let restartedAt = Number.NEGATIVE_INFINITY; ; restartedAt = performance.now()) {
      const exitCode = await current.exited;
      if (stopping) return exitCode;
      report({ kind: 'ended', exitCode });
      // At once; but a database that ends again and again must not keep the processor busy.
      await restart(performance.now() - restartedAt < soonMs ? restartPauseMs : 0);
    }
  };
  return { end, onExit: watch() };
}
