import { usualComponents } from './club-components.ts';
import { type Attendance, attendanceOf } from './club-design.ts';
import { Expectation } from './club-expect.ts';
import { type ClubModel, fittingClub } from './club-model.ts';
import { crashModel } from './crashes.ts';
import { describingFit } from './fit-report.ts';
import { type HeatSummary, summariseHeats } from './heat-summary.ts';
import { InputsHash } from './inputs-hash.ts';
import type { DriverRow, LapRow } from './lap-row.ts';
import { type LapTable, lapTable } from './lap-table.ts';
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

const of = 1000;
const progress = (share: number): FitProgress => ({ done: Math.round(of * share), of });

/**
 * Fits everything the club knows of pace from its laps: heats are summarised, a first model says what to expect of each
 * heat, heats are summarised again in its light, then the club model is fitted. Yields often; laps may be in any order.
 */
export function* fitSeason(
  laps: readonly LapRow[],
  drivers: readonly DriverRow[],
  options: { readonly seed: number },
): Generator<FitProgress, PaceFit> {
  return (yield* fittingSeason(laps, drivers, options)).fit;
}

/** `fitSeason`, with the model in the answer. */
export function* fittingSeason(
  laps: readonly LapRow[],
  drivers: readonly DriverRow[],
  { seed }: { readonly seed: number },
): Generator<FitProgress, SeasonFit> {
  const hash = new InputsHash();
  for (const driver of drivers) hash.driver(driver);
  for (const [i, lap] of laps.entries()) {
    hash.lap(lap);
    if (i % 20_000 === 0) yield progress((0.05 * i) / laps.length);
  }
  const attendance = attendanceOf(laps);
  const lastNight = Math.max(0, ...[...attendance.values()].map((nights) => nights.at(-1) ?? 0));
  yield progress(0.07);
  const table = lapTable(laps);
  yield progress(0.15);
  const summary = yield* summarisingTwice(table, drivers, attendance);
  const crashes = crashModel(summary.crashes, drivers);
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
  const first = summariseHeats(table);
  yield progress(0.25);
  const knowing = fittingClub(first.rows, drivers, { attendance, components: usualComponents });
  const expectation = new Expectation(yield* within(knowing, 0.25, 0.3));
  const summary = summariseHeats(table, { expected: (heat) => expectation.of(heat) });
  yield progress(0.4);
  return summary;
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
