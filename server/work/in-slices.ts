import { setImmediate } from 'node:timers/promises';
import { Refusal } from '../errors.ts';
import { jobs } from './jobs.ts';
import type { Work } from './work.ts';

/** How long a job may hold the event loop, between two steps of it. */
const sliceMs = 10;

/**
 * Runs jobs on the event loop, a slice at a time, where there is no built program for threads. What goes in and comes
 * out is copied, as between threads.
 */
export function workInSlices(): Work {
  let closed = false;
  return {
    async run(name, input, { signal, onProgress } = {}) {
      const goOn = () => {
        signal?.throwIfAborted();
        if (closed) throw new Refusal('workBusy');
      };
      goOn();
      const steps = jobs[name].start(structuredClone(input));
      try {
        for (let sliceEndMs = 0; ; ) {
          if (performance.now() >= sliceEndMs) {
            await setImmediate();
            sliceEndMs = performance.now() + sliceMs;
          }
          goOn();
          const step = steps.next();
          if (step.done) return structuredClone(step.value);
          onProgress?.(structuredClone(step.value));
        }
      } finally {
        steps.return(undefined as never);
      }
    },
    async close() {
      closed = true;
    },
  };
}
