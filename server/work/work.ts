import type { JobInput, JobName, JobProgress, JobResult } from './jobs.ts';

export interface RunOptions<Name extends JobName> {
  /** Stops the job: `run` then rejects at once, with the signal's reason. */
  readonly signal?: AbortSignal | undefined;
  /** Hears how far the job is, also of jobs that are over in a moment, and never after `run` has settled. */
  readonly onProgress?: ((progress: JobProgress<Name>) => void) | undefined;
}

/** Runs long work so that everybody else is served meanwhile. */
export interface Work {
  /**
   * Runs a job and answers with its result.
   *
   * @throws Refusal `workBusy` when too many jobs wait already, or the program ends; the signal's reason; whatever the
   *   job or `onProgress` throws
   */
  run<Name extends JobName>(name: Name, input: JobInput<Name>, options?: RunOptions<Name>): Promise<JobResult<Name>>;
  /** Stops everything that runs or waits. */
  close(): Promise<void>;
}
