import { type Attendance, AttendanceBook } from './attendance.ts';
import { usualComponents } from './club-components.ts';
import { Expectation } from './club-expect.ts';
import { type ClubModel, fittingClub } from './club-model.ts';
import { crashModel } from './crashes.ts';
import { describingFit } from './fit-report.ts';
import { type HeatSummary, summarisingHeats } from './heat-summary.ts';
import { InputsHash } from './inputs-hash.ts';
import type { DriverRow, Laps } from './lap-row.ts';
import { type LapTable, tablingLaps } from './lap-table.ts';
import type { PaceFit } from './pace-fit.ts';

export interface FitProgress {
  readonly done: number;
  readonly of: number;
}

/** What a fit answers in memory: the report, and the model behind it to ask further. */
export interface SeasonFit {
  readonly fit: PaceFit;
  readonly model: ClubModel;
}

/** Laps between two reports: a few milliseconds. */
const lapsPerStep = 10_000;

const of = 1000;
const progress = (share: number): FitProgress => ({ done: Math.round(of * share), of });

/**
 * Fits everything the club knows of pace from its laps: heats are summarised, a first model says what to expect of each
 * heat, heats are summarised again in its light, then the club model is fitted. Yields often; laps may be in any order.
 */
export function* fitSeason(
  laps: Laps,
  drivers: readonly DriverRow[],
  options: { readonly seed: number },
): Generator<FitProgress, PaceFit> {
  return (yield* fittingSeason(laps, drivers, options)).fit;
}

/** `fitSeason`, with the model in the answer. */
export function* fittingSeason(
  laps: Laps,
  drivers: readonly DriverRow[],
  { seed }: { readonly seed: number },
): Generator<FitProgress, SeasonFit> {
  const hash = new InputsHash();
  for (const driver of drivers) hash.driver(driver);
  const book = new AttendanceBook();
  let read = 0;
  for (const lap of laps) {
    hash.lap(lap);
    book.add(lap);
    if (read++ % lapsPerStep === 0) yield progress((0.07 * read) / laps.length);
  }
  const attendance = book.attendance();
  const lastNight = Math.max(0, ...[...attendance.values()].map((nights) => nights.at(-1) ?? 0));
  const table = yield* within(tablingLaps(laps), 0.07, 0.15);
  const summary = yield* summarisingTwice(table, drivers, attendance);
  yield progress(0.4);
  const crashes = crashModel(summary.crashes, drivers);
  yield progress(0.4);
  const model = yield* within(fittingClub(summary.rows, drivers, { attendance }), 0.4, 0.95);
  const describing = describingFit({ seed, inputsHash: hash.hex(), lastNight, model, summary, crashes });
  const fit = yield* within(describing, 0.95, 1);
  return { fit, model };
}

/** Summaries of heats in the light of what a first model, made of summaries without it, expects. */
function* summarisingTwice(
  table: LapTable,
  drivers: readonly DriverRow[],
  attendance: Attendance,
): Generator<FitProgress, HeatSummary> {
  const first = yield* within(summarisingHeats(table), 0.15, 0.25);
  const knowing = fittingClub(first.rows, drivers, { attendance, components: usualComponents });
  const expectation = new Expectation(yield* within(knowing, 0.25, 0.3));
  return yield* within(summarisingHeats(table, { expected: (heat) => expectation.of(heat) }), 0.3, 0.4);
}

/** Turns shares of a part, where it tells them, into those of the whole. */
function* within<T>(part: Generator<number | void, T>, from: number, to: number): Generator<FitProgress, T> {
  let step = part.next();
  while (!step.done) {
    yield progress(from + (to - from) * (step.value ?? 0));
    step = part.next();
  }
  return step.value;
}
