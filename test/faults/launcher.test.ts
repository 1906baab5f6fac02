import { execFile } from 'node:child_process';
import { cp, mkdir, mkdtemp, readdir, rm, symlink } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, expect, test } from 'vitest';

const run = promisify(execFile);
const root = path.resolve(import.meta.dirname, '../..');
let checkout: string;

beforeAll(async () => {
  checkout = await mkdtemp(path.join(tmpdir(), 'lanewise-launcher-'));
  for (const part of ['server', 'views', 'db', 'tsconfig.json', 'package.json']) {
    await cp(path.join(root, part), path.join(checkout, part), { recursive: true });
  }
  await symlink(path.join(root, 'node_modules'), path.join(checkout, 'node_modules'));
});

afterAll(() => rm(checkout, { recursive: true, force: true }));

test('several first starts at once: each runs, and nothing but the build is left', { timeout: 120_000 }, async () => {
  // What a build leaves that was killed; no process has this number, as Linux ends at 2^22 and macOS at 99,999.
  await mkdir(path.join(checkout, 'dist.99999999.tmp/server'), { recursive: true });
  const launcher = path.join(checkout, 'server/cli/lanewise.mjs');
  const starts = Array.from({ length: 3 }, () => run(process.execPath, [launcher, 'draw', '--drivers=3', '--lanes=2']));
  for (const { stdout } of await Promise.all(starts)) expect(stdout).toContain('Lane 1');
  const left = (await readdir(checkout)).filter((name) => name.startsWith('dist'));
  expect(left).toEqual(['dist']);
});

// npx makes it executable the first time it sees a folder, and after a fresh checkout in the same place never again.
test('the launcher may be executed as it lies in a checkout', { timeout: 120_000 }, async () => {
  const { stdout } = await run(path.join(checkout, 'server/cli/lanewise.mjs'), ['draw', '--drivers=3', '--lanes=2']);
  expect(stdout).toContain('Lane 1');
});
