import {
  chownSync,
  closeSync,
  existsSync,
  fsyncSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
} from 'node:fs';
import path from 'node:path';
import type { Binaries } from './binaries.ts';
import { EmbeddedError } from './error.ts';
import { runToEnd, type SystemUser } from './system-user.ts';

/** Name of the database and of the one user in it. */
export const databaseName = 'lanewise';

const unfinished = 'making-';

/**
 * Makes `folder`/data, an empty PostgreSQL data directory with the database `lanewise`, unless it is there. It is made
 * under another name and renamed when it is complete and on disk, so that an interrupted first start leaves nothing
 * half-made. Call with the folder's lock held.
 *
 * @param sync false skips the flush to disk: for tests
 * @returns path of the data directory
 * @throws EmbeddedError `failed`, `other_version`
 */
export async function ensureCluster(
  binaries: Binaries,
  user: SystemUser,
  folder: string,
  sync: boolean,
): Promise<string> {
  const dataDirectory = path.join(folder, 'data');
  removeUnfinished(folder);
  if (!existsSync(dataDirectory)) {
    const part = mkdtempSync(path.join(folder, unfinished));
    if (user) chownSync(part, user.uid, user.gid);
    await initialise(binaries, user, part, sync);
    renameSync(part, dataDirectory);
    if (sync) flushFolder(folder);
  }
  const major = majorVersion(dataDirectory);
  if (major !== binaries.major) throw new EmbeddedError('other_version', major);
  return dataDirectory;
}

async function initialise(binaries: Binaries, user: SystemUser, directory: string, sync: boolean): Promise<void> {
  const step = async (file: string, args: string[], input?: string) => {
    const { exitCode, output } = await runToEnd(file, args, user, input);
    if (exitCode !== 0) throw new EmbeddedError('failed', output.trim().split('\n').slice(-3).join('\n'));
  };
  // The builtin locale sorts alike on every system and never changes under an index. Nothing is flushed until the end.
  await step(binaries.initdb, [
    ...['-D', directory, '--username', databaseName, '--no-sync', '--no-instructions'],
    ...['--encoding=UTF8', '--locale=C', '--locale-provider=builtin', '--builtin-locale=C.UTF-8'],
    ...['--auth-local=trust', '--auth-host=reject'],
  ]);
  const single = ['--single', '-F', '-D', directory, '-c', 'exit_on_error=on', 'postgres'];
  await step(binaries.postgres, single, `create database ${databaseName};\n`);
  if (sync) await step(binaries.initdb, ['--sync-only', '-D', directory]);
}

/** Leftovers of a first start that was killed. Its initdb may still be writing to one: that one goes next time. */
function removeUnfinished(folder: string): void {
  for (const name of readdirSync(folder)) {
    if (!name.startsWith(unfinished)) continue;
    try {
      rmSync(path.join(folder, name), { recursive: true, force: true });
    } catch {}
  }
}

function majorVersion(dataDirectory: string): string {
  try {
    return readFileSync(path.join(dataDirectory, 'PG_VERSION'), 'utf8').trim();
  } catch {
    throw new EmbeddedError('failed', 'PG_VERSION is missing');
  }
}

function flushFolder(folder: string): void {
  const descriptor = openSync(folder, 'r');
  fsyncSync(descriptor);
  closeSync(descriptor);
}
