import { pace as words } from '../../views/texts/en/pace-command.ts';
import type { LapRow } from '../pace/lap-row.ts';
import type { ClassPace, PaceFit, Starter } from '../pace/pace-fit.ts';
import { planHeat } from '../pace/planner.ts';
import { guardedPace, shownPace } from '../pace/slow-guard.ts';
import { starterOf } from '../pace/starter-of.ts';
import type { AskedField } from './pace-fields.ts';

/** What `lanewise pace --json` writes. Logs are natural. */
export interface PaceAnswer {
  /** Of every driver in every class driven, by name. */
  readonly pace: readonly PaceRow[];
  readonly lane: readonly { readonly track: string; readonly lane: number; readonly logEffect: number }[];
  readonly fields: readonly FieldAnswer[];
}

export interface PaceRow {
  readonly driver: string;
  readonly class: string;
  /** Log seconds of a clean lap expected at the next night attended, on the mean of the lanes and with usual grip. */
  readonly logPace: number;
  /** Limits that hold 90 % of what the level may be against the field: the night's grip, the same for all, is left out. */
  readonly lo: number;
  readonly hi: number;
  /** Mean chance of a crash on a lap. */
  readonly crashRate: number;
  /** Mean seconds lost in a crash. */
  readonly meanLoss: number;
}

/** Lists go by driver, in the order of the field. */
export interface FieldAnswer {
  readonly field: string | number;
  /** Seconds, in tenths; somebody has 0. */
  readonly delays: readonly number[];
  /** Chances to win without and with the delays; each list adds up to 1. */
  readonly winBefore: readonly number[];
  readonly winAfter: readonly number[];
}

/** Half-width of limits that hold 90 % of a normal distribution, in standard deviations. */
const z90 = 1.6448536269514722;

/** Last digits may differ between machines: what is printed goes not so far. */
const rounded = (value: number) => Math.round(value * 1e9) / 1e9;

const byText = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);

/** Rows of every driver and class that stand in the laps, and sentences on classes without figures. */
export function paceRows(fit: PaceFit, laps: readonly LapRow[]): { rows: PaceRow[]; notes: string[] } {
  const driven = new Map<string, Set<string>>();
  for (const { driver, carClass } of laps) {
    const classes = driven.get(driver);
    if (classes) classes.add(carClass);
    else driven.set(driver, new Set([carClass]));
  }
  const rows = fit.drivers.flatMap(({ driver, classes, crash, nu }) =>
    classes
      .filter(({ carClass }) => driven.get(driver)?.has(carClass))
      .map(({ carClass, logPace, sd }): PaceRow => {
        return {
          driver,
          class: carClass,
          logPace: rounded(logPace),
          lo: rounded(logPace - z90 * sd),
          hi: rounded(logPace + z90 * sd),
          crashRate: rounded(crash.alpha / (crash.alpha + crash.beta)),
          meanLoss: rounded(Math.exp(nu + fit.pooled.omega ** 2 / 2)),
        };
      }),
  );
  const known = new Set(fit.classes.map(({ carClass }) => carClass));
  const all = new Set([...driven.values()].flatMap((classes) => [...classes]));
  const missing = known.size === 0 ? [] : [...all].filter((carClass) => !known.has(carClass)).sort(byText);
  return {
    rows: rows.sort((a, b) => byText(a.driver, b.driver) || byText(a.class, b.class)),
    notes: missing.map(words.notes.noClass),
  };
}

export const laneRows = (fit: PaceFit): PaceAnswer['lane'] =>
  fit.lanes.map(({ track, lane, logEffect }) => ({ track, lane, logEffect: rounded(logEffect) }));

/**
 * Delays and chances of a field, as the club's usual settings have them: equal chances, no cap, tenths of a second, the
 * guard against slowness on purpose on. Sentences say what of the field is not known.
 */
export function fieldAnswer(
  fit: PaceFit,
  field: AskedField,
  carClass: string,
  seed: number,
): { answer: FieldAnswer; notes: string[] } {
  const track = field.track ?? usualTrack(fit);
  const starters = field.drivers.map((driver, i): Starter => {
    const lane = field.lanes[i] ?? noLane;
    const seat = { driver, carClass, track, lane, group: null };
    return starterOf(fit, seat, (pace) => handicapPace(fit, pace)) ?? blankStarter(fit, driver);
  });
  const plan = planHeat({
    length: field.length,
    starters,
    mode: 'delay',
    dial: 1,
    cap: null,
    step: 100,
    byHand: starters.map(() => null),
    aroundHand: false,
    seed,
  });
  const delays = plan.amounts.map((ms) => ms / 1000);
  const { winBefore, winAfter } = plan;
  return { answer: { field: field.name, delays, winBefore, winAfter }, notes: unknowns(fit, field, carClass, track) };
}

const handicapPace = (fit: PaceFit, pace: ClassPace) => guardedPace(shownPace(pace, fit.components)).logPace;

/** A lane that no track has: its effect is 0. */
const noLane = 0;

/** The one with most heats: effects of tracks are against it. */
const usualTrack = (fit: PaceFit) => fit.tracks.find(({ logEffect }) => logEffect === 0)?.track ?? '';

/** Without any pace to go by; the planner puts a usual figure where there is none. */
const blankStarter = (fit: PaceFit, driver: string): Starter => ({
  driver,
  logPace: Number.NaN,
  variance: Number.NaN,
  lapSd: fit.pooled.lapSd,
  rho: fit.pooled.rho,
  crash: { alpha: Number.NaN, beta: Number.NaN },
  nu: fit.pooled.nu,
  omega: fit.pooled.omega,
});

function unknowns(fit: PaceFit, field: AskedField, carClass: string, track: string): string[] {
  // Where nothing is known that is said once.
  if (fit.classes.length === 0) return [];
  const name = String(field.name);
  const known = new Set(
    fit.drivers.filter(({ classes }) => classes.some(({ heats }) => heats > 0)).map(({ driver }) => driver),
  );
  const newcomers = field.drivers.filter((driver) => !known.has(driver));
  const lanes = new Set(fit.lanes.filter((each) => each.track === track).map(({ lane }) => lane));
  const unknownLanes = field.lanes.filter((lane) => lane !== null && !lanes.has(lane)) as number[];
  const notes: string[] = [];
  if (!fit.classes.some((each) => each.carClass === carClass)) notes.push(words.notes.unknownClass(name, carClass));
  if (newcomers.length > 0) notes.push(words.notes.newcomers(name, newcomers));
  if (!fit.tracks.some((each) => each.track === track)) notes.push(words.notes.unknownTrack(name, track));
  else if (unknownLanes.length > 0) notes.push(words.notes.unknownLanes(name, track, unknownLanes));
  return notes;
}
