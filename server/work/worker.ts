import type { MessagePort } from 'node:worker_threads';
import { type Job, type JobName, jobs } from './jobs.ts';

/** What a thread is given to do. */
export interface ThreadTask {
  readonly name: JobName;
  readonly input: unknown;
  /** Progress goes out here. */
  readonly port: MessagePort;
}

/** Reports come at most this often: a person reads no faster, and each one is copied. */
const reportEveryMs = 100;

/** Where a thread of the pool begins: runs the named job to its end. To stop it the pool ends the thread. */
export default function runInThread({ name, input, port }: ThreadTask): unknown {
  return drive(jobs[name] as Job<unknown, object, unknown>, input, (progress) => port.postMessage(progress));
}

/** Runs a job and reports: the first progress at once, then at most every {@link reportEveryMs}, and what is left. */
export function drive<Input, Progress extends object, Result>(
  job: Job<Input, Progress, Result>,
  input: Input,
  report: (progress: Progress) => void,
): Result {
  const steps = job.start(input);
  let held: Progress | null = null;
  for (let nextMs = 0; ; ) {
    const step = steps.next();
    if (step.done) {
      if (held) report(held);
      return step.value;
    }
    held = held ? job.merge(held, step.value) : step.value;
    const nowMs = performance.now();
    if (nowMs >= nextMs) {
      report(held);
      held = null;
      nextMs = nowMs + reportEveryMs;
    }
  }
}
