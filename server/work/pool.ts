import { availableParallelism } from 'node:os';
import { MessageChannel, receiveMessageOnPort } from 'node:worker_threads';
import { Piscina } from 'piscina';
import { Refusal } from '../errors.ts';
import { Turns } from './turns.ts';
import type { Work } from './work.ts';
import type { ThreadTask } from './worker.ts';

export interface PoolOptions {
  /** Jobs that run at once. At most two, and one core stays free for the event loop where there are several. */
  readonly threads?: number;
  /** Jobs that may wait for a thread; the next one is refused. */
  readonly mostWaiting?: number;
  /** A thread that has nothing to do for so long is ended. */
  readonly idleMs?: number;
  /** The module that threads run. */
  readonly worker?: URL;
}

/**
 * Runs jobs in threads of low priority, which are started when there is something to do. Works in the built program
 * only: Node 20 runs no TypeScript.
 */
export function threadPool({
  threads = Math.max(1, Math.min(2, availableParallelism() - 1)),
  mostWaiting = 8,
  idleMs = 30_000,
  worker = new URL('./worker.js', import.meta.url),
}: PoolOptions = {}): Work {
  const pool = new Piscina({
    filename: worker.href,
    minThreads: 0,
    maxThreads: threads,
    idleTimeout: idleMs,
    recordTiming: false,
    // A thread needs nothing of the environment, which may hold the database's password.
    env: {},
    // A job that runs wild ends its thread, not the program.
    resourceLimits: { maxOldGenerationSizeMb: 512 },
    // Only on Linux a thread has a priority of its own; elsewhere this would slow down the whole program.
    niceIncrement: process.platform === 'linux' ? 10 : 0,
  });
  // The pool's own queue has no limit for jobs that can be stopped, and after a stop it may leave the next one lying.
  const turns = new Turns(threads, mostWaiting);
  const open = new Set<AbortController>();
  const stopAll = (reason: unknown) => {
    for (const job of open) job.abort(reason);
  };
  // A thread that cannot even start belongs to no job.
  pool.on('error', stopAll);
  let closed = false;

  return {
    async run(name, input, { signal, onProgress } = {}) {
      signal?.throwIfAborted();
      if (closed) throw new Refusal('workBusy');
      const job = new AbortController();
      const stop = () => job.abort(signal?.reason);
      signal?.addEventListener('abort', stop, { once: true });
      open.add(job);
      try {
        await turns.take(job.signal);
        try {
          return await inThread(pool, { name, input }, job, onProgress);
        } finally {
          turns.release();
        }
      } finally {
        open.delete(job);
        signal?.removeEventListener('abort', stop);
      }
    },
    async close() {
      closed = true;
      stopAll(new Refusal('workBusy'));
      await pool.destroy();
    },
  };
}

async function inThread<Progress, Result>(
  pool: Piscina<ThreadTask, Result>,
  task: Omit<ThreadTask, 'port'>,
  job: AbortController,
  onProgress: ((progress: Progress) => void) | undefined,
): Promise<Result> {
  const { port1: inbox, port2: port } = new MessageChannel();
  const hear = (progress: Progress) => {
    try {
      if (!job.signal.aborted) onProgress?.(progress);
    } catch (error) {
      job.abort(error);
    }
  };
  inbox.on('message', hear);
  try {
    const result = await pool.run({ ...task, port }, { transferList: [port], signal: job.signal });
    // The result may overtake the last reports.
    for (let left = receiveMessageOnPort(inbox); left; left = receiveMessageOnPort(inbox)) hear(left.message);
    job.signal.throwIfAborted();
    return result;
  } catch (error) {
    throw job.signal.aborted ? job.signal.reason : error;
  } finally {
    inbox.close();
  }
}
