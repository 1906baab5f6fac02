import { type HeatWithMargins, planningWithMargins } from '../handicap/plan-heat.ts';
import type { FitProgress } from '../pace/fit.ts';
import type { HandicapProgress, HandicapRequest } from '../pace/handicap.ts';
import { type ImportFiles, type ReadImport, readingImport } from '../pace/import-read.ts';
import type { PaceFit } from '../pace/pace-fit.ts';
import { type RefitRequest, refitting } from '../pace/refit.ts';
import { type DrawProgress, drawing } from '../rotation/draw.ts';
import type { DrawRequest, Rotation } from '../rotation/rotation.ts';

/** Work that takes long. Input, progress and result are plain data: they travel between threads as copies. */
export interface Job<Input, Progress extends object, Result> {
  /** Does the work step by step: a pure function, which yields often. */
  start(input: Input): Generator<Progress, Result>;
  /** One report in the place of two: reports that come too fast to be read are put together. */
  merge(earlier: Progress, later: Progress): Progress;
}

/** What each job takes, reports and answers. */
interface JobTypes {
  draw: { input: DrawRequest; progress: DrawProgress; result: Rotation };
  readLaps: { input: ImportFiles; progress: FitProgress; result: ReadImport };
  paceFit: { input: RefitRequest; progress: FitProgress; result: PaceFit | null };
  planHeat: { input: HandicapRequest; progress: HandicapProgress; result: HeatWithMargins };
}

export type JobName = keyof JobTypes;
export type JobInput<Name extends JobName> = JobTypes[Name]['input'];
export type JobProgress<Name extends JobName> = JobTypes[Name]['progress'];
export type JobResult<Name extends JobName> = JobTypes[Name]['result'];

/** Everything that may run beside the event loop, by name. It imports pure modules only. */
export const jobs: { readonly [Name in JobName]: Job<JobInput<Name>, JobProgress<Name>, JobResult<Name>> } = {
  draw: {
    start: drawing,
    merge: (earlier, later) => ({ ...later, better: later.better ?? earlier.better }),
  },
  readLaps: {
    start: readingImport,
    merge: (_earlier, later) => later,
  },
  paceFit: {
    start: refitting,
    merge: (_earlier, later) => later,
  },
  planHeat: {
    start: planningWithMargins,
    merge: (_earlier, later) => later,
  },
};
