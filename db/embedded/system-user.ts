import { type SpawnOptions, spawn, spawnSync } from 'node:child_process';
import { EmbeddedError } from './error.ts';

/** A user of the operating system that database programs run as; null means the one running this process. */
export type SystemUser = { readonly uid: number; readonly gid: number } | null;

/**
 * Chooses who runs the database, since PostgreSQL refuses to run as root.
 *
 * @param owner who owns the existing data, null when there is none yet. Root goes on as that user, so that a user
 *   `postgres` that was added later does not lock the data out.
 * @throws EmbeddedError `no_user`
 */
export function databaseUser(owner: SystemUser): SystemUser {
  if (process.getuid?.() !== 0) return null;
  if (owner && owner.uid !== 0) return owner;
  // initdb wants a user that has a name.
  for (const name of ['postgres', 'nobody']) {
    const [uid, gid] = ['-u', '-g'].map((flag) => spawnSync('id', [flag, name], { encoding: 'utf8' }));
    if (uid?.status === 0 && gid?.status === 0) return { uid: Number(uid.stdout), gid: Number(gid.stdout) };
  }
  throw new EmbeddedError('no_user');
}

/** Options that run a program as `user`, from a folder every user can enter and without our own environment. */
export function asUser(user: SystemUser): Pick<SpawnOptions, 'uid' | 'gid' | 'cwd' | 'env'> {
  return { ...user, cwd: '/', env: { PATH: '/usr/bin:/bin', LC_ALL: 'C', TZ: 'UTC' } };
}

/** True when `user` may write into `folder`; asks the system by trying, as permission bits are not the whole story. */
export function canWrite(user: SystemUser, folder: string): boolean {
  return spawnSync('/bin/sh', ['-c', 'test -w "$0" && test -x "$0"', folder], asUser(user)).status === 0;
}

/** Runs a program to its end. The exit code is null when it was killed. Rejects when it cannot be started. */
export function runToEnd(
  file: string,
  args: string[],
  user: SystemUser,
  input = '',
): Promise<{ exitCode: number | null; output: string }> {
  return new Promise((resolve, reject) => {
    const child = spawn(file, args, { ...asUser(user), stdio: 'pipe' });
    let output = '';
    for (const stream of [child.stdout, child.stderr]) stream.on('data', (chunk) => (output += chunk));
    child.on('error', reject);
    child.on('close', (exitCode) => resolve({ exitCode, output }));
    child.stdin.on('error', () => {}); // it may end before it has read everything; the exit code tells
    child.stdin.end(input);
  });
}
