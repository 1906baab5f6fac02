import type { ClassPace, DriverFit, PaceFit, Starter } from './pace-fit.ts';

/** Who starts where. */
export interface HeatSeat {
  readonly driver: string;
  readonly carClass: string;
  readonly track: string;
  /** From 1. */
  readonly lane: number;
  /** Of a driver without laps; of others the fit knows it. */
  readonly group: 'junior' | 'adult' | null;
}

/**
 * A starter of a heat to come as the fit knows it: somebody without laps is taken for an average newcomer of the group,
 * with all that is not known in the variance; so the planner starts him later by itself.
 *
 * @param paceOf the pace to plan with, where it is not the expected one: see `guardedPace`
 * @returns null where the fit knows no pace at all
 */
export function starterOf(
  fit: PaceFit,
  seat: HeatSeat,
  paceOf: (pace: ClassPace) => number = ({ logPace }) => logPace,
): Starter | null {
  const known = fit.drivers.find(({ driver }) => driver === seat.driver) ?? newcomer(fit, seat.group);
  const pace = known && classPace(fit, known, seat.carClass);
  if (!pace) return null;
  const lane = fit.lanes.find((each) => each.track === seat.track && each.lane === seat.lane);
  const track = fit.tracks.find((each) => each.track === seat.track);
  const { tau, r } = fit.components;
  return {
    driver: seat.driver,
    logPace: paceOf(pace) + (lane?.logEffect ?? 0) + (track?.logEffect ?? 0),
    variance: pace.sd ** 2 + (lane?.sd ?? 0) ** 2 + r ** 2 + tau ** 2,
    lapSd: known.lapSd,
    rho: fit.pooled.rho,
    crash: known.crash,
    nu: known.nu,
    omega: fit.pooled.omega,
  };
}

const newcomer = (fit: PaceFit, group: HeatSeat['group']): DriverFit | undefined =>
  fit.newcomers.find((each) => each.group === group) ?? fit.newcomers.find((each) => each.group === null);

/** A class the fit does not know is taken for the mean of those it knows. */
function classPace(fit: PaceFit, { classes }: DriverFit, carClass: string): ClassPace | undefined {
  const own = classes.find((pace) => pace.carClass === carClass);
  const [first] = classes;
  if (own || !first) return own;
  const mean = (of: (pace: ClassPace) => number) => classes.reduce((sum, pace) => sum + of(pace), 0) / classes.length;
  return {
    ...first,
    carClass,
    logPace: mean(({ logPace }) => logPace),
    sd: Math.sqrt(mean(({ sd }) => sd ** 2) + fit.components.w ** 2),
    heats: 0,
    latestHeats: [],
    latestNights: [],
  };
}
