import { EmbeddedError, type EmbeddedOptions, startEmbedded } from '../../db/embedded.ts';
import { embedded as texts } from '../../views/texts/en/embedded.ts';

/** What the child says, one JSON document a line. */
export type ChildWord =
  | { kind: 'ready'; address: { host: string; port: number; user: string; database: string } }
  | { kind: 'ended' }
  | { kind: 'restarted'; downMs: number }
  | { kind: 'restart_failed' };

/** A program with a bundled database and nothing else: starts it, says so, and stops it on SIGTERM. */
const say = (word: ChildWord) => process.stdout.write(`${JSON.stringify(word)}\n`);
const options = JSON.parse(process.argv[2] ?? '') as EmbeddedOptions;
try {
  const running = await startEmbedded({ ...options, report: (event) => say(event as ChildWord) });
  process.once('SIGTERM', () => void running.stop());
  say({ kind: 'ready', address: running.options });
  await running.onExit;
} catch (error) {
  if (!(error instanceof EmbeddedError)) throw error;
  process.stderr.write(`${texts[error.code](options.dataDir, error.detail)}\n`);
  process.exitCode = 1;
}
