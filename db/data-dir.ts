import { homedir } from 'node:os';
import path from 'node:path';

const isRoot = () => process.getuid?.() === 0;

/**
 * The folder of the bundled database when LANEWISE_DATA names none: `~/.local/share/lanewise`, and for root
 * `/var/lib/lanewise`. It lies outside the program's own folder, so that a newer download finds the same races.
 */
export function defaultDataDir(): string {
  return isRoot() ? '/var/lib/lanewise' : path.join(homedir(), '.local/share/lanewise');
}

/** Where the database program is copied to when its user cannot reach it in place; may be deleted at any time. */
export function defaultCacheDir(): string {
  return isRoot() ? '/var/cache/lanewise' : path.join(homedir(), '.cache/lanewise');
}
