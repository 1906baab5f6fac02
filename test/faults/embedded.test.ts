import { execFileSync, spawn } from 'node:child_process';
import {
  chmodSync,
  chownSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  realpathSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import postgres from 'postgres';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { findEmbedded } from '../../db/embedded.ts';
import { compileCheckout, EmbeddedProcess, installPostgres } from '../helpers/embedded-process.ts';

// The bundled database in processes of its own, which are then killed in every way. What must come of it is our own
// promise, not taken from anywhere: no committed row is lost, nothing is left running, and the next start works.

const isRoot = process.getuid?.() === 0;
const isLinux = process.platform === 'linux';
const nobody = { uid: 65534, gid: 65534 };

const top = realpathSync(mkdtempSync('/tmp/lw-faults-'));
chmodSync(top, 0o755);
const checkout = path.join(top, 'checkout');
const seed = path.join(top, 'seed');
const started: EmbeddedProcess[] = [];
let libraries = '';
let linksAsInstalled: string[] = [];
const linkNames = () =>
  readdirSync(libraries, { withFileTypes: true }).flatMap((entry) => (entry.isSymbolicLink() ? [entry.name] : []));

beforeAll(async () => {
  compileCheckout(checkout);
  libraries = path.join(installPostgres(checkout), 'native/lib');
  linksAsInstalled = linkNames();
  const first = start(seed);
  await first.query((sql) => sql.unsafe('create table kept (n int)'));
  await first.stop();
});

afterEach(async () => {
  for (const each of started.splice(0)) await each.stop();
});

afterAll(() => rmSync(top, { recursive: true, force: true }));

type StartOptions = ConstructorParameters<typeof EmbeddedProcess>[2] & { checkout?: string };

function start(dataDir: string, options: StartOptions = {}): EmbeddedProcess {
  const each = new EmbeddedProcess(options.checkout ?? checkout, dataDir, options);
  started.push(each);
  return each;
}

/** Path of a data folder that is not there yet. */
function newDataDir(): string {
  const folder = mkdtempSync(path.join(top, 'case-'));
  chmodSync(folder, 0o755);
  return path.join(folder, 'data');
}

/** A data folder that was used and left in order. Copied, since a first start is slow. */
function usedDataDir(): string {
  const dataDir = newDataDir();
  execFileSync('cp', ['-a', seed, dataDir]);
  return dataDir;
}

/** A program running with one committed row, `1`. */
async function startWithRow(dataDir = usedDataDir(), options: StartOptions = {}): Promise<EmbeddedProcess> {
  const first = start(dataDir, options);
  await first.query((sql) => sql`insert into kept values (1)`);
  return first;
}

const rows = (each: EmbeddedProcess) =>
  each.query(async (sql) => (await sql`select n from kept order by n`).map((r) => r.n));

function alive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    // A process that nobody has waited for yet is dead all the same.
    return !isLinux || !readFileSync(`/proc/${pid}/stat`, 'utf8').includes(') Z ');
  } catch {
    return false;
  }
}

async function until(condition: () => boolean, withinMs = 5_000): Promise<void> {
  for (const end = Date.now() + withinMs; !condition(); await sleep(5)) {
    if (Date.now() > end) throw new Error('it did not come true in time');
  }
}

/** Process group of a process: our shell, its watcher and PostgreSQL share one. */
const groupOf = (pid: number) => Number(readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]?.split(' ')[2]);

describe('an ordinary life', () => {
  test('rows are kept over a restart, everything is flushed, and nothing listens on the network', async () => {
    const first = await startWithRow(usedDataDir(), { sync: true, settings: {} });
    const settings = await first.query(
      (sql) =>
        sql`select name, setting from pg_settings where name in ('fsync', 'synchronous_commit', 'full_page_writes',
        'listen_addresses', 'server_encoding', 'TimeZone') order by name`,
    );
    expect(Object.fromEntries(settings.map((row) => [row.name, row.setting]))).toEqual({
      fsync: 'on',
      full_page_writes: 'on',
      listen_addresses: '',
      server_encoding: 'UTF8',
      synchronous_commit: 'on',
      TimeZone: 'UTC',
    });
    const { address } = await first.said('ready');
    expect(statSync(address.host).mode & 0o777).toBe(0o700);
    expect(statSync(path.join(first.dataDir, 'postgres')).mode & 0o777).toBe(0o700);
    expect(await findEmbedded(first.dataDir)).toEqual(address);
    await first.stop();
    expect((await first.exited).code).toBe(0);
    expect(existsSync(address.host)).toBe(false);
    expect(await findEmbedded(first.dataDir)).toBeNull();

    expect(await rows(start(first.dataDir))).toEqual([1]);
  });

  test('the library links that an installation without scripts leaves out were made by the first start', () => {
    const listed = JSON.parse(readFileSync(path.join(libraries, '../pg-symlinks.json'), 'utf8')) as {
      target: string;
    }[];
    expect(linksAsInstalled).toEqual([]);
    expect(linkNames().sort()).toEqual(listed.map(({ target }) => path.basename(target)).sort());
  });

  test('a data folder may lie deeper than a socket path is long', async () => {
    const dataDir = path.join(newDataDir(), 'a'.repeat(100), 'b'.repeat(100));
    const first = start(dataDir);
    expect((await first.said('ready')).address.host.length).toBeLessThan(30);
    await first.query((sql) => sql`select 1`);
  });
});

describe('killed', () => {
  test('kill -9 of the program: PostgreSQL ends too, and the next start works', async () => {
    const first = await startWithRow();
    const { postmaster } = first;
    await first.killNode();
    await until(() => !alive(postmaster));
    expect(await rows(start(first.dataDir))).toEqual([1]);
  });

  test('kill -9 of the program, and a start at once, while PostgreSQL is still ending', async () => {
    const first = await startWithRow();
    await first.killNode();
    expect(await rows(start(first.dataDir))).toEqual([1]);
  });

  test('kill -9 of PostgreSQL: it is started again, and a pool opened before works after', async () => {
    const first = await startWithRow();
    const { address } = await first.said('ready');
    const sql = postgres({ ...address, max: 2, onnotice: () => {} });
    await sql`select 1`;
    process.kill(first.postmaster, 'SIGKILL');
    await first.said('restarted');
    const [row] = await sql`select n from kept`.catch(() => sql`select n from kept`); // one broken session is allowed
    expect(row?.n).toBe(1);
    await sql.end({ timeout: 5 });
    expect(first.words.map((word) => word.kind)).toEqual(['ready', 'ended', 'restarted']);
  });

  test.runIf(isLinux)('kill -9 of the shell around PostgreSQL: both are replaced', async () => {
    const first = await startWithRow();
    const { postmaster } = first;
    process.kill(groupOf(postmaster), 'SIGKILL');
    await first.said('restarted');
    expect(first.postmaster).not.toBe(postmaster);
    expect(alive(postmaster)).toBe(false);
    expect(await rows(first)).toEqual([1]);
  });

  test.runIf(isLinux)('kill -9 of the program, PostgreSQL and the shell: the next start recovers', async () => {
    const first = await startWithRow();
    const group = groupOf(first.postmaster);
    first.process.kill('SIGSTOP'); // so that it cannot restart anything in between
    process.kill(-group, 'SIGKILL');
    await first.killNode();
    expect(existsSync(path.join(first.dataDir, 'postgres/data/postmaster.pid'))).toBe(true);
    expect(await rows(start(first.dataDir))).toEqual([1]);
    expect(readFileSync(path.join(first.dataDir, 'postgres/postgres.log'), 'utf8')).toContain('automatic recovery');
  });

  test.runIf(isLinux)(
    'kill -9 of the program and everything that would end PostgreSQL: the next start ends it',
    async () => {
      const first = await startWithRow();
      const { postmaster } = first;
      const group = groupOf(postmaster);
      const inGroup = readdirSync('/proc')
        .map(Number)
        .filter((pid) => pid > 0 && pid !== postmaster);
      first.process.kill('SIGSTOP');
      for (const pid of inGroup)
        if (alive(pid) && existsSync(`/proc/${pid}`) && groupOf(pid) === group) process.kill(pid, 'SIGKILL');
      await first.killNode();
      await sleep(200);
      expect(alive(postmaster)).toBe(true);
      expect(await rows(start(first.dataDir))).toEqual([1]);
      expect(alive(postmaster)).toBe(false);
    },
    15_000,
  );

  test('the process number of a killed PostgreSQL now belongs to something else', async () => {
    const first = await startWithRow();
    await first.stop();
    const { uid, gid } = statSync(path.join(first.dataDir, 'postgres'));
    const other = spawn('sleep', ['60'], { uid, gid });
    try {
      const file = path.join(first.dataDir, 'postgres/data/postmaster.pid');
      const data = path.join(first.dataDir, 'postgres/data');
      writeFileSync(file, `${other.pid}\n${data}\n1700000000\n5432\n/tmp/none\n\n  123456  7\nready   \n`);
      chownSync(file, uid, gid);
      expect(await rows(start(first.dataDir))).toEqual([1]);
      expect(alive(other.pid ?? 0)).toBe(true);
    } finally {
      other.kill('SIGKILL');
    }
  });

  test('kill -9 in the middle of the first start leaves no half-made database', async () => {
    const dataDir = newDataDir();
    const folder = path.join(dataDir, 'postgres');
    const unfinished = () => readdirSync(folder).filter((name) => name.startsWith('making-'));
    const first = start(dataDir);
    await until(() => existsSync(folder) && unfinished().some((name) => existsSync(path.join(folder, name, 'base/1'))));
    await first.killNode();
    expect(existsSync(path.join(folder, 'data'))).toBe(false);
    const second = start(dataDir);
    await second.query((sql) => sql`select 1`);
    await second.stop();
    // The initdb of the first may have gone on writing during the second start; now it has ended.
    await start(dataDir).said('ready');
    expect(unfinished()).toEqual([]);
  });
});

describe('two starts at once', () => {
  const refusal = (dataDir: string) =>
    `Another Lanewise is running with the data in ${dataDir}: use that one, stop it first, or set LANEWISE_DATA to another folder.\n`;

  /** Starts several and waits until one is ready and the others have ended. */
  async function race(dataDir: string, starters: number): Promise<EmbeddedProcess> {
    const all = Array.from({ length: starters }, () => start(dataDir));
    const outcomes = await Promise.all(
      all.map((each) =>
        Promise.race([
          each.said('ready').then(
            () => each,
            () => each.exited,
          ),
          each.exited,
        ]),
      ),
    );
    const running = outcomes.filter((outcome) => outcome instanceof EmbeddedProcess);
    const refused = outcomes.filter((outcome) => !(outcome instanceof EmbeddedProcess));
    expect(running).toHaveLength(1);
    expect(refused).toEqual(Array.from({ length: starters - 1 }, () => ({ code: 1, stderr: refusal(dataDir) })));
    return running[0] as EmbeddedProcess;
  }

  test('a second start is refused in one sentence and the first goes on', async () => {
    const first = await startWithRow();
    const second = start(first.dataDir);
    expect(await second.exited).toEqual({ code: 1, stderr: refusal(first.dataDir) });
    expect(await rows(first)).toEqual([1]);
  });

  test('of two first starts one runs', async () => {
    const winner = await race(newDataDir(), 2);
    await winner.query((sql) => sql`select 1`);
  });

  test('of three starts after a kill -9 one runs, again and again', async () => {
    let running = await startWithRow();
    for (let round = 0; round < 4; round++) {
      await running.killNode();
      running = await race(running.dataDir, 3);
      expect(await rows(running)).toEqual([1]);
    }
  });
});

describe.runIf(isRoot)('as root', () => {
  test('works from a checkout in a private home folder', async () => {
    const home = path.join(top, 'home');
    const inHome = path.join(home, 'lanewise');
    mkdirSync(home, { mode: 0o700 });
    execFileSync('cp', ['-a', checkout, inHome]);
    const cacheDir = path.join(top, 'home-cache');
    const dataDir = newDataDir();
    for (let round = 0; round < 2; round++) {
      const each = start(dataDir, { checkout: inHome, cacheDir });
      await each.query((sql) => sql`select 1`);
      await each.stop();
      expect(readdirSync(cacheDir)).toEqual([expect.stringMatching(/^postgres-\d/)]);
    }
    expect(statSync(path.join(dataDir, 'postgres')).uid).not.toBe(0);
  });

  test('data in a private home folder are refused with a way out', async () => {
    const home = mkdtempSync(path.join(top, 'private-'));
    const each = start(path.join(home, 'data'));
    const { code, stderr } = await each.exited;
    expect(code).toBe(1);
    expect(stderr).toContain('LANEWISE_DATA');
    expect(stderr).toContain('/var/lib/lanewise');
    expect(stderr.trim().split('\n')).toHaveLength(1);
  });
});

describe('as an ordinary user', () => {
  // As root the child is given up to another user; else this is what all the tests above have shown already.
  const as = isRoot ? nobody : null;

  test('works in a private home folder', async () => {
    const home = mkdtempSync(path.join(top, 'user-'));
    if (as) chownSync(home, as.uid, as.gid);
    const dataDir = path.join(home, '.local/share/lanewise');
    const cacheDir = path.join(home, '.cache/lanewise');
    const first = start(dataDir, { as, cacheDir });
    await first.query((sql) => sql.unsafe('create table kept (n int); insert into kept values (1)'));
    await first.stop();
    const second = start(dataDir, { as, cacheDir });
    expect(await rows(second)).toEqual([1]);
    expect(existsSync(cacheDir)).toBe(false);
  });

  test.runIf(isRoot)('the data of another user are refused in one sentence', async () => {
    const dataDir = newDataDir();
    mkdirSync(path.join(dataDir, 'postgres'), { recursive: true });
    const each = start(dataDir, { as: nobody });
    const { code, stderr } = await each.exited;
    expect({ code, stderr }).toEqual({
      code: 1,
      stderr: `The data in ${dataDir} belong to user 0: start Lanewise as that user, or set LANEWISE_DATA to another folder.\n`,
    });
  });
});
