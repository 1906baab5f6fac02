import { type ChildProcess, spawn } from 'node:child_process';
import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import { type Database, openDatabase } from '../../db/client.ts';
import { anchorClock } from '../../db/clock-anchor.ts';
import { findEmbedded } from '../../db/embedded.ts';
import { type Clock, monotonicUs, systemClock } from '../../server/clock.ts';

const repository = path.resolve(import.meta.dirname, '../..');

/** Where a Chromium is, or null: browser tests are then skipped. `CHROMIUM` names another one. */
export const chromiumPath =
  [process.env.CHROMIUM, '/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(
    (file) => file !== undefined && existsSync(file),
  ) ?? null;

/** Why browser tests do not run; stands in the name of a skipped test. */
export const noChromium = 'no Chromium is installed (set CHROMIUM to its path)';

export async function launchBrowser(): Promise<Browser> {
  const flags = ['no-sandbox', 'disable-gpu', 'disable-quic', 'no-first-run'];
  const calm = ['disable-background-networking', 'disable-component-update', 'disable-sync'];
  const args = [...flags, ...calm].map((flag) => `--${flag}`);
  return chromium.launch({ executablePath: chromiumPath ?? '', args });
}

/** The built program with its bundled database, as somebody runs it at home. */
export class BuiltServer {
  readonly url: string;
  readonly #port: number;
  readonly #dataDir: string;
  #child: ChildProcess | null = null;
  #db: Database | null = null;

  private constructor(port: number, dataDir: string) {
    this.#port = port;
    this.#dataDir = dataDir;
    this.url = `http://127.0.0.1:${port}`;
  }

  /** Starts it on a free port with an empty database. */
  static async start(): Promise<BuiltServer> {
    const folder = mkdtempSync(path.join(tmpdir(), 'lanewise-browser-'));
    chmodSync(folder, 0o755); // as root the database runs as another user
    const server = new BuiltServer(await freePort(), folder);
    await server.up();
    return server;
  }

  /** Starts the process (again) and waits until it answers. */
  async up(): Promise<void> {
    const launcher = path.join(repository, 'server/cli/lanewise.mjs');
    const options = { LANEWISE_DATA: this.#dataDir, PORT: String(this.#port), HOST: '127.0.0.1', LOG_LEVEL: 'error' };
    const child = spawn(process.execPath, [launcher, 'start'], {
      env: { PATH: process.env.PATH ?? '', HOME: process.env.HOME ?? '', ...options },
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    this.#child = child;
    let said = '';
    for (const stream of [child.stdout, child.stderr]) {
      stream?.on('data', (chunk) => {
        said += chunk;
      });
    }
    for (let tries = 0; ; tries += 1) {
      const healthy = await fetch(`${this.url}/health`).then(
        ({ ok }) => ok,
        () => false,
      );
      if (healthy) return;
      if (child.exitCode !== null || tries > 600) throw new Error(`the server did not start:\n${said}`);
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
  }

  /** Ends the process; `SIGKILL` as a power cut would. Its data stays. */
  async down(signal: 'SIGTERM' | 'SIGKILL' = 'SIGTERM'): Promise<void> {
    await this.#db?.close();
    this.#db = null;
    const child = this.#child;
    if (!child || child.exitCode !== null || child.signalCode !== null) return;
    const ended = new Promise((resolve) => child.once('exit', resolve));
    child.kill(signal);
    await ended;
  }

  /** Stops the process where it stands, or lets it go on: a line that is open and dead. */
  freeze(frozen: boolean): void {
    this.#child?.kill(frozen ? 'SIGSTOP' : 'SIGCONT');
  }

  /** The server's own database, to plant rows in it. */
  async db(): Promise<Database> {
    if (!this.#db) {
      const address = await findEmbedded(this.#dataDir);
      if (!address) throw new Error('the bundled database is not there');
      this.#db = openDatabase(address, { max: 2 });
    }
    return this.#db;
  }

  /** The server's time scale, as its own process reads it. */
  async clock(): Promise<Clock> {
    const bootId = readFileSync('/proc/sys/kernel/random/boot_id', 'utf8').trim();
    return systemClock(await anchorClock(await this.db(), bootId, monotonicUs));
  }

  /** Ends it and leaves nothing behind. */
  async close(): Promise<void> {
    this.freeze(false);
    await this.down();
    rmSync(this.#dataDir, { recursive: true, force: true });
  }
}

function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const probe = createServer();
    probe.once('error', reject);
    probe.listen(0, '127.0.0.1', () => {
      const address = probe.address();
      probe.close(() =>
        typeof address === 'object' && address ? resolve(address.port) : reject(new Error('no port')),
      );
    });
  });
}

/** What went wrong in a page: blocked by the content security policy, thrown, or logged as an error. */
export type PageProblems = { readonly problems: string[] };

/**
 * Listens for everything that goes wrong in a page. Requests that fail while a test takes the server or the network
 * away are no problem of the page.
 */
export async function watchProblems(page: Page): Promise<PageProblems> {
  const problems: string[] = [];
  await page.exposeFunction('reportViolation', (what: string) => problems.push(`policy: ${what}`));
  await page.addInitScript(() => {
    document.addEventListener('securitypolicyviolation', (event) => {
      const report = (window as unknown as { reportViolation(what: string): void }).reportViolation;
      report(`${event.violatedDirective} ${event.blockedURI}`);
    });
  });
  page.on('pageerror', (error) => problems.push(`error: ${error.message}`));
  page.on('console', (message) => {
    const text = message.text();
    const network = /net::ERR_|Failed to fetch|network error|AbortError|Failed to load resource/.test(text);
    if (message.type() === 'error' && !network) problems.push(`console at ${page.url()}: ${text}`);
  });
  return { problems };
}
