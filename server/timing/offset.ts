import type { ClockBits } from '../heats/facts.ts';

/**
 * How far the clock of a device is behind the server's, from nothing but the instants at which its reports were sent
 * (by its clock) and received (by ours).
 *
 * Receive minus sent is the offset plus the way of that report, which is never negative. So the offset is at most the
 * least of those of the last minutes, allowing each the drift that may have happened since: 200 ppm (lower envelope). Half of the least round trip that the device measured is then taken off for the way itself. As with the
 * four time stamps of RFC 5905 section 8, the error is at most half a round trip.
 *
 * A clock that runs further off than 200 ppm is noticed by the slope of that envelope: the edge of the lower convex hull
 * below the middle of the observations (S. Moon, P. Skelly, D. Towsley, "Estimation and removal of clock skew from
 * network delay measurements", INFOCOM 1999; L. Zhang, Z. Liu, C. Xia, INFOCOM 2002). From then on its own rate is
 * allowed for, plus 200 ppm.
 *
 * All instants and spans are whole microseconds.
 */

/** The least receive minus sent of a stretch of time, and the server's instant at which it was seen. */
export type OffsetSample = { readonly atUs: number; readonly offsetUs: number };

/** What is remembered of the clock of one device and boot. Plain JSON. */
export type ClockState = {
  /** The least of each stretch of 5 s, oldest first; of the newest 24 stretches, and never none. */
  readonly samples: readonly OffsetSample[];
  /** Least round trip the device has measured; null before the first. */
  readonly leastRttUs: number | null;
  /** How fast the offset grows, in parts per billion; 0 while that cannot be told from at most 200 ppm. */
  readonly ratePpb: number;
};

/** What a report says about the clock that wrote it. */
export type ClockReport = {
  readonly bits: ClockBits;
  readonly sentUs: number;
  /** Server's instant at which the report came in. */
  readonly receivedUs: number;
  readonly rttUs: number | null;
  /** After how long the device gives a request up; a longer way means that its clock stood still, as in a phone that
   * slept. Null for a device that may wait for ever. */
  readonly longestWayUs: number | null;
};

export type ClockReading = {
  readonly state: ClockState;
  /** Whether the state is another one than before and worth storing. */
  readonly changed: boolean;
  /** `sentUs` on a scale that does not wrap. */
  readonly sentUs: number;
  /** Server's time minus the device's (on that scale) as this report came in. */
  readonly offsetUs: number;
};

/** The drift that every clock is allowed, in parts per billion. */
export const allowedDriftPpb = 200_000;

const stretchUs = 5_000_000;
const keptStretches = 24;
/** A clock that was set back makes every old sample wrong; none is believed for longer than this. */
const windowUs = 600_000_000;
/** No clock is off by more than 5 %: what looks like it is a clock that was set. */
const greatestRatePpb = 50_000_000;
/** Fewer samples say nothing about a rate. */
const samplesForRate = 8;
const wrapUs = 2 ** 32;

/**
 * Takes one report into account.
 *
 * @param before what was known; null for the first report of a boot
 */
export function readClock(before: ClockState | null, report: ClockReport): ClockReading {
  const rawUs = report.receivedUs - report.sentUs;
  const wraps = report.bits === 32 && before ? Math.round((rawUs - lastOffsetUs(before)) / wrapUs) : 0;
  const now: OffsetSample = { atUs: report.receivedUs, offsetUs: rawUs - wraps * wrapUs };
  const stoodStill =
    before && envelopeUs(before.samples, now, before.ratePpb) + (report.longestWayUs ?? Infinity) < now.offsetUs;
  const samples = before && !stoodStill ? withSample(before.samples, now) : [now];
  const leastRttUs = least(before?.leastRttUs ?? null, report.rttUs);
  const ratePpb = samples === before?.samples ? before.ratePpb : rateOf(samples, before?.ratePpb ?? 0);
  const changed = samples !== before?.samples || leastRttUs !== before.leastRttUs;
  return {
    state: changed || !before ? { samples, leastRttUs, ratePpb } : before,
    changed,
    sentUs: report.sentUs + wraps * wrapUs,
    offsetUs: envelopeUs(samples, now, ratePpb) - Math.floor((leastRttUs ?? 0) / 2),
  };
}

/** A crossing may seem to be a little younger than the report that brings it: a device notes one while it is sending. */
export const youngestUs = -100_000;

/**
 * How long before the sending of its report a crossing happened, by the device's clock. With 32 bits the answer is from
 * -0.1 s up to 71 minutes: an older crossing cannot be told from a younger one.
 */
export function ageUs(bits: ClockBits, sentUs: number, tUs: number): number {
  const age = sentUs - tUs;
  if (bits === 64) return age;
  const wrapped = ((age % wrapUs) + wrapUs) % wrapUs;
  return wrapped < wrapUs + youngestUs ? wrapped : wrapped - wrapUs;
}

const lastOffsetUs = (state: ClockState) => state.samples.at(-1)?.offsetUs ?? 0;

const least = (a: number | null, b: number | null) => (a === null || b === null ? (a ?? b) : Math.min(a, b));

/** The same list when the new sample adds nothing to it. */
function withSample(samples: readonly OffsetSample[], now: OffsetSample): readonly OffsetSample[] {
  const stretch = (sample: OffsetSample) => Math.floor(sample.atUs / stretchUs);
  const same = samples.find((sample) => stretch(sample) === stretch(now));
  if (same && same.offsetUs <= now.offsetUs) return samples;
  const others = samples.filter((sample) => sample !== same && Math.abs(now.atUs - sample.atUs) <= windowUs);
  return [...others, now].sort((a, b) => a.atUs - b.atUs).slice(-keptStretches);
}

/** The least offset that these samples and `now` allow at the instant of `now`; nothing is taken off for the way. */
function envelopeUs(samples: readonly OffsetSample[], now: OffsetSample, ratePpb: number): number {
  let leastUs = now.offsetUs;
  for (const sample of samples) {
    const sinceUs = now.atUs - sample.atUs;
    const grownUs = Math.ceil((sinceUs * ratePpb + Math.abs(sinceUs) * allowedDriftPpb) / 1e9);
    leastUs = Math.min(leastUs, sample.offsetUs + grownUs);
  }
  return leastUs;
}

/**
 * The rate at which the offset grows, or 0 when it is within the allowed drift or cannot be told from the unsteadiness of
 * the network: the growth must exceed what is allowed by six times the greatest distance of a sample from the envelope.
 */
function rateOf(samples: readonly OffsetSample[], beforePpb: number): number {
  const [first] = samples;
  if (samples.length < samplesForRate || !first) return beforePpb;
  const spanUs = (samples.at(-1)?.atUs ?? 0) - first.atUs;
  const [a, b] = middleEdge(samples);
  const ratePpb = Math.round(((b.offsetUs - a.offsetUs) * 1e9) / (b.atUs - a.atUs));
  const above = (s: OffsetSample) => s.offsetUs - a.offsetUs - ((s.atUs - a.atUs) * ratePpb) / 1e9;
  const unsteadyUs = Math.max(...samples.map(above));
  const growthUs = (Math.abs(ratePpb) * spanUs) / 1e9;
  if (Math.abs(ratePpb) > greatestRatePpb) return 0;
  return growthUs > (allowedDriftPpb * spanUs) / 1e9 + 6 * unsteadyUs ? ratePpb : 0;
}

/** The edge of the samples' lower convex hull below the mean of their instants. */
function middleEdge(samples: readonly OffsetSample[]): [OffsetSample, OffsetSample] {
  const hull: OffsetSample[] = [];
  for (const sample of samples) {
    while (hull.length >= 2 && !turnsUp(hull.at(-2), hull.at(-1), sample)) hull.pop();
    hull.push(sample);
  }
  const [first] = samples as [OffsetSample];
  const meanUs = first.atUs + samples.reduce((sum, s) => sum + (s.atUs - first.atUs), 0) / samples.length;
  const right = Math.max(
    1,
    hull.findIndex((sample) => sample.atUs >= meanUs),
  );
  return [hull[right - 1] ?? first, hull[right] ?? first];
}

function turnsUp(a: OffsetSample | undefined, b: OffsetSample | undefined, c: OffsetSample): boolean {
  if (!a || !b) return true;
  return (b.atUs - a.atUs) * (c.offsetUs - a.offsetUs) > (b.offsetUs - a.offsetUs) * (c.atUs - a.atUs);
}
