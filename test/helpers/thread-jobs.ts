import { getPriority } from 'node:os';
import { threadId } from 'node:worker_threads';
import type { Job } from '../../server/work/jobs.ts';
import { drive, type ThreadTask } from '../../server/work/worker.ts';

/** `merged`: how many reports this one stands for besides itself. */
export type TestProgress = { n: number; merged?: number };

/** Jobs whose length and failure a test can choose; run by threads of {@link runTestJob}. */
const starts = {
  /** Counts to the input, each step taking a millisecond. */
  *count(to: number) {
    for (let n = 1; n <= to; n += 1) {
      for (const endMs = performance.now() + 1; performance.now() < endMs; );
      yield { n };
    }
    return to;
  },
  /** Never comes back from its second step. */
  *hang() {
    yield { n: 1 };
    for (;;);
  },
  *fail() {
    yield { n: 1 };
    throw new RangeError('out of lanes');
  },
  *hoard() {
    yield { n: 1 };
    for (const all: unknown[] = []; ; ) all.push(new Array(1e5).fill(all.length));
  },
  *thread() {
    yield { n: 1 };
    return { threadId, priority: getPriority(), environment: process.env };
  },
};

/** What the job `thread` answers. */
export type ThreadFacts = { threadId: number; priority: number; environment: Record<string, string> };

export type TestJobName = keyof typeof starts;

const merge = (earlier: TestProgress, later: TestProgress): TestProgress => ({
  ...later,
  merged: (earlier.merged ?? 0) + 1,
});

/** The thread module of these jobs: drives them as the program drives its own. */
export default function runTestJob({ name, input, port }: Omit<ThreadTask, 'name'> & { name: TestJobName }): unknown {
  const job = { start: starts[name], merge } as Job<unknown, TestProgress, unknown>;
  return drive(job, input, (progress) => port.postMessage(progress));
}
