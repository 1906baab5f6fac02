import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { chownSync, existsSync, readFileSync, renameSync, statSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { EmbeddedError } from './error.ts';
import { asUser, type SystemUser } from './system-user.ts';

/** Everything needed to start PostgreSQL on a data directory, as often as it takes. */
export type PostmasterPlan = {
  readonly postgres: string;
  readonly user: SystemUser;
  readonly dataDirectory: string;
  /** Folder of the socket it listens on; short. */
  readonly socketFolder: string;
  readonly logFile: string;
  readonly settings: Readonly<Record<string, string>>;
};

/** A PostgreSQL that accepts connections. */
export type Postmaster = {
  /** Its exit code; null when the shell around it was killed. */
  readonly exited: Promise<number | null>;
  /** Asks it to end: sessions are cut off, everything is written. `exited` tells when. */
  end(): void;
};

/** A number that is no process anywhere: above the highest that Linux and macOS give out. */
const noProcess = 2_147_483_647;

const pollMs = 10;
const readyWithinMs = 120_000;
const backendsGoneWithinMs = 10_000;
const endsByItselfMs = 3_000;
const endsWhenAskedMs = 60_000;

// Ends PostgreSQL however we end: the kernel closes our end of the pipe, `read` returns, and PostgreSQL gets the signal
// for a fast shutdown. Repeated, as it is ignored until PostgreSQL has set up its handlers. The log is opened here, by
// the database's user; a pipe that nobody drains could block PostgreSQL.
const script = `exec 3<&0 </dev/null >>"$1" 2>&1
shift
"$@" 3<&- &
postgres=$!
{ read -r _ <&3; while kill -INT $postgres 2>/dev/null; do sleep 1; done; } &
watcher=$!
exec 3<&-
wait $postgres
code=$?
kill $watcher
exit $code`;

/**
 * Starts PostgreSQL and waits until it accepts connections, which includes the recovery after a crash.
 * Call with the folder's lock held.
 *
 * @throws EmbeddedError `failed`
 */
export async function startPostmaster(plan: PostmasterPlan): Promise<Postmaster> {
  const giveUpAt = Date.now() + backendsGoneWithinMs;
  for (;;) {
    await endLeftover(plan.dataDirectory);
    retirePidFile(plan.dataDirectory, plan.user);
    const logged = existsSync(plan.logFile) ? statSync(plan.logFile).size : 0;
    const postmaster = launch(plan);
    if (await ready(plan.dataDirectory, postmaster)) return postmaster;
    const lastWords = readLog(plan.logFile, logged);
    // Sessions of a killed postmaster take a moment to notice. PostgreSQL refuses to start beside them, rightly.
    if (!lastWords.includes('shared memory block') || Date.now() > giveUpAt) {
      throw new EmbeddedError('failed', lastWords.split('\n').slice(-3).join('\n'));
    }
    await sleep(100);
  }
}

function launch(plan: PostmasterPlan): Postmaster {
  const settings = { listen_addresses: '', unix_socket_permissions: '0700', ...plan.settings };
  const options = Object.entries(settings).flatMap(([name, value]) => ['-c', `${name}=${value}`]);
  const command = [plan.postgres, '-D', plan.dataDirectory, '-k', plan.socketFolder, ...options];
  const child: ChildProcess = spawn('/bin/sh', ['-c', script, 'sh', plan.logFile, ...command], {
    ...asUser(plan.user),
    stdio: ['pipe', 'ignore', 'ignore'],
    detached: true, // Ctrl-C at the terminal reaches us alone, and we end PostgreSQL after our own work
  });
  child.stdin?.on('error', () => {});
  const end = () => void child.stdin?.end();
  const exited = new Promise<number | null>((resolve) => {
    child.once('exit', resolve);
    child.once('error', () => resolve(null));
  });
  void exited.then(end); // if only the shell died, this makes the watcher end PostgreSQL
  return { exited, end };
}

/** True when it accepts connections, false when it ended instead. */
async function ready(dataDirectory: string, postmaster: Postmaster): Promise<boolean> {
  let ended = false;
  void postmaster.exited.then(() => {
    ended = true;
  });
  for (const giveUpAt = Date.now() + readyWithinMs; !ended; await sleep(pollMs)) {
    const file = readPidFile(dataDirectory);
    if (file?.ready && file.pid !== noProcess) return true;
    if (Date.now() > giveUpAt) postmaster.end();
  }
  return false;
}

function readLog(file: string, from: number): string {
  try {
    return readFileSync(file).subarray(from).toString('utf8').trim();
  } catch (error) {
    return String(error); // the log could not even be opened
  }
}

/** What PostgreSQL says about itself in its lock file: line 1 is the process, line 8 the state. */
function readPidFile(dataDirectory: string): { lines: string[]; pid: number; ready: boolean } | null {
  try {
    const lines = readFileSync(path.join(dataDirectory, 'postmaster.pid'), 'utf8').split('\n');
    return { lines, pid: Number(lines[0]), ready: lines[7]?.trim() === 'ready' };
  } catch {
    return null;
  }
}

/** Waits for a PostgreSQL whose owner was killed to end by itself, and if it does not, ends it. */
async function endLeftover(dataDirectory: string): Promise<void> {
  const pid = readPidFile(dataDirectory)?.pid;
  if (!pid || !(await stillRuns(pid, dataDirectory, endsByItselfMs))) return;
  askToEnd(pid);
  if (await stillRuns(pid, dataDirectory, endsWhenAskedMs)) {
    throw new EmbeddedError('failed', `process ${pid} does not end`);
  }
}

function askToEnd(pid: number): void {
  try {
    process.kill(pid, 'SIGINT');
  } catch {} // it ended just now
}

async function stillRuns(pid: number, dataDirectory: string, withinMs: number): Promise<boolean> {
  for (const giveUpAt = Date.now() + withinMs; isPostmaster(pid, dataDirectory); await sleep(pollMs)) {
    if (Date.now() > giveUpAt) return true;
  }
  return false;
}

/** Process numbers are used again, after a restart of the machine often the same ones: look at what it runs. */
function isPostmaster(pid: number, dataDirectory: string): boolean {
  return commandLine(pid).includes(`/postgres -D ${dataDirectory} `);
}

function commandLine(pid: number): string {
  if (!existsSync('/proc/self/cmdline')) {
    return spawnSync('ps', ['-ww', '-o', 'command=', '-p', String(pid)], { encoding: 'utf8' }).stdout ?? '';
  }
  try {
    return readFileSync(`/proc/${pid}/cmdline`, 'utf8').replaceAll('\0', ' ');
  } catch {
    return '';
  }
}

/**
 * A lock file left by a killed PostgreSQL may name a process that by now is something else; PostgreSQL would refuse to
 * start if that belongs to the same user. The file must not be deleted: its shared memory key is how PostgreSQL finds
 * sessions that are still running. So only the process number is taken out.
 */
function retirePidFile(dataDirectory: string, user: SystemUser): void {
  const file = readPidFile(dataDirectory);
  if (!file) return;
  const name = path.join(dataDirectory, 'postmaster.pid');
  writeFileSync(`${name}.retired`, [noProcess, ...file.lines.slice(1)].join('\n'), { mode: 0o600 });
  if (user) chownSync(`${name}.retired`, user.uid, user.gid);
  renameSync(`${name}.retired`, name);
}
