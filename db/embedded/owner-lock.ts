import { linkSync, readdirSync, rmSync } from 'node:fs';
import { connect, createServer, type Server } from 'node:net';
import path from 'node:path';
import { systemCode } from './error.ts';

const lockName = (generation: number) => `owner-${generation}.sock`;

/**
 * Takes the folder for this process, until it ends or gives it back.
 *
 * The lock is a listening socket: whoever can connect to it knows that its owner lives, and the kernel closes it however
 * the owner dies. To take over from a dead owner nothing is deleted first, as two takers could then delete each other's
 * lock; the lock of the next number is made instead, which only one of them can do. A number is never used again while
 * it matters, because the newest lock always stays in the folder.
 *
 * @param folder a path short enough for sockets (below 80 bytes)
 * @returns a function that gives the folder back; null when another process has it
 */
export async function takeFolder(folder: string): Promise<(() => void) | null> {
  const unnamed = path.join(folder, `owner-${process.pid}-${Date.now()}.tmp`);
  const server = await listen(unnamed);
  try {
    for (;;) {
      const newest = newestGeneration(folder);
      if (newest > 0 && (await answers(path.join(folder, lockName(newest))))) {
        server.close();
        return null;
      }
      if (!linkUnlessThere(unnamed, path.join(folder, lockName(newest + 1)))) continue;
      // Had this number been used and tidied away since we looked, a newer one would be there now.
      if (newestGeneration(folder) > newest + 1) continue;
      rmSync(unnamed);
      removeOlder(folder, newest + 1);
      return () => server.close();
    }
  } catch (error) {
    server.close();
    throw error;
  }
}

function listen(file: string): Promise<Server> {
  return new Promise((resolve, reject) => {
    const server = createServer((connection) => connection.destroy());
    server.once('error', reject);
    // Every user may ask whether we live; who may enter the folder is the folder's business.
    server.listen({ path: file, readableAll: true, writableAll: true }, () => resolve(server));
    server.unref();
  });
}

/** True when somebody listens on the socket `file`. */
export function answers(file: string): Promise<boolean> {
  return new Promise((resolve) => {
    const connection = connect(file);
    connection.once('connect', () => {
      connection.destroy();
      resolve(true);
    });
    // Anything but a plain refusal may come from a living owner.
    connection.once('error', (error) => resolve(!['ECONNREFUSED', 'ENOENT'].includes(systemCode(error))));
  });
}

function generations(folder: string): number[] {
  return readdirSync(folder).flatMap((name) => {
    const number = /^owner-(\d+)\.sock$/.exec(name)?.[1];
    return number === undefined ? [] : [Number(number)];
  });
}

const newestGeneration = (folder: string) => Math.max(0, ...generations(folder));

function linkUnlessThere(from: string, to: string): boolean {
  try {
    linkSync(from, to);
    return true;
  } catch (error) {
    if (systemCode(error) === 'EEXIST') return false;
    throw error;
  }
}

function removeOlder(folder: string, generation: number): void {
  for (const older of generations(folder)) {
    if (older < generation) rmSync(path.join(folder, lockName(older)), { force: true });
  }
}
