import { type IdleSettings, idleSettings } from './editor-form.ts';
import { type CurveRow, curveRows, throttleOf } from './model/duty.ts';
import type { CurvePoint, Profile, Tuning } from './model/profile.ts';
import { type TracePoint, type TraceRow, traceRows } from './model/trace.ts';
import { readyTraces } from './trigger-moves.ts';

/** A stretch of the trigger in which the off-time short share is the same; all 0..1. */
export interface BrakeRun {
  readonly from: number;
  readonly to: number;
  readonly share: number;
}

/** Where somebody takes hold of the curve; trigger and duty 0..1. */
export interface CurveHandle {
  /** `min` and `max` go up and down only, `shape` bends the curve at its middle, a number is an inner point. */
  readonly key: 'min' | 'max' | 'shape' | number;
  readonly x: number;
  readonly duty: number;
}

/** What pictures show of one profile. */
export interface ProfilePicture {
  readonly name: string;
  /** 201 positions; none of them exactly where the trigger leaves rest. */
  readonly throttle: readonly CurveRow[];
  /** Up to here the trigger counts as released. */
  readonly released: number;
  readonly minDrive: number;
  readonly maxDrive: number;
  /** Brake while the trigger opens, and while it closes. */
  readonly opening: readonly BrakeRun[];
  readonly closing: readonly BrakeRun[];
  /** The trigger let go, pressed all the way at `stepAtMs`, and held. */
  readonly step: readonly TraceRow[];
  /** The same for the trace that was asked for. */
  readonly trace: readonly TraceRow[];
}

export interface PicturesData {
  readonly own: ProfilePicture;
  /** What it is compared with; null for nothing. */
  readonly other: ProfilePicture | null;
  readonly handles: readonly CurveHandle[];
  readonly idle: IdleSettings;
  /** When the trigger of the step picture is pressed. */
  readonly stepAtMs: number;
  /** The trigger of the trace pictures. */
  readonly trace: readonly TracePoint[];
}

const stepAtMs = 50;
/** Long enough for the slowest ramp. */
const stepEndMs = 650;
const step: readonly TracePoint[] = [
  [0, 0],
  [stepAtMs - 1, 0],
  [stepAtMs, 1],
  [stepEndMs, 1],
];

/**
 * What the pictures of a profile show; nothing is drawn here.
 *
 * @param other the profile to lay over it, or null
 * @param trace a trigger trace of at least two points; null for a made-up corner
 */
export function picturesOf(
  profile: Profile,
  other: Profile | null,
  trace: readonly TracePoint[] | null = null,
): PicturesData {
  const shown = trace ?? readyTraces.corner;
  return {
    own: pictureOf(profile, shown),
    other: other && pictureOf(other, shown),
    handles: handlesOf(profile),
    idle: idleSettings(profile),
    stepAtMs,
    trace: shown,
  };
}

/** What a small curve in a list shows: an eighth of the positions is enough. */
export function thumbOf(tuning: Tuning): Pick<ProfilePicture, 'throttle' | 'released' | 'minDrive' | 'maxDrive'> {
  return {
    throttle: curveRows(tuning).filter((_, index) => index % 8 === 0),
    released: tuning.releaseBand / 1000,
    minDrive: tuning.minDrive / 1000,
    maxDrive: tuning.maxDrive / 1000,
  };
}

function pictureOf(profile: Profile, trace: readonly TracePoint[]): ProfilePicture {
  return {
    name: profile.name,
    throttle: curveRows(profile),
    released: profile.releaseBand / 1000,
    minDrive: profile.minDrive / 1000,
    maxDrive: profile.maxDrive / 1000,
    opening: brakeRuns(profile, false),
    closing: brakeRuns(profile, true),
    step: traceRows(profile, step),
    trace: traceRows(profile, trace),
  };
}

/** The brake law over the whole trigger in one direction, in stretches; neighbours of the same share are one. */
export function brakeRuns(tuning: Tuning, closing: boolean): BrakeRun[] {
  const { releaseBand, brakeFull, rectify, drag } = tuning;
  const acts = rectify === 'async' && (closing || !drag.closingOnly);
  const elsewhere = rectify === 'sync' ? 1000 : 0;
  const zoneFrom = Math.max(releaseBand, drag.zoneFrom);
  const zoneTo = Math.max(zoneFrom, drag.zoneTo);
  const stretches: [from: number, to: number, share: number][] = [
    [0, releaseBand, brakeFull],
    [releaseBand, zoneFrom, elsewhere],
    [zoneFrom, zoneTo, acts ? drag.strength : elsewhere],
    [zoneTo, 1000, elsewhere],
  ];
  const runs: BrakeRun[] = [];
  stretches.forEach(([from, to, share], index) => {
    // The first stays even without length: a release band of 0 is the very end of the trigger, where the brake acts.
    if (index > 0 && to <= from) return;
    const last = runs.at(-1);
    if (last?.share === share / 1000) runs[runs.length - 1] = { ...last, to: to / 1000 };
    else runs.push({ from: from / 1000, to: to / 1000, share: share / 1000 });
  });
  return runs;
}

/** Where the curve can be taken hold of. */
export function handlesOf(profile: Profile): CurveHandle[] {
  const { duty } = throttleOf(profile);
  const x0 = profile.releaseBand / 1000;
  const within = (u: number) => x0 + (1 - x0) * u;
  const at = (key: CurveHandle['key'], u: number): CurveHandle => ({ key, x: within(u), duty: duty(within(u)) });
  const { curve } = profile;
  const inner =
    curve.kind === 'shape'
      ? [at('shape', 0.5)]
      : curve.points.slice(1, -1).map(([x]: CurvePoint, index) => at(index + 1, x / 1000));
  return [
    { key: 'min', x: x0, duty: profile.minDrive / 1000 },
    ...inner,
    { key: 'max', x: 1, duty: profile.maxDrive / 1000 },
  ];
}
