import { curveFunction } from '../model/curve.ts';
import { throttleOf } from '../model/duty.ts';
import type { Tuning } from '../model/profile.ts';
import { comparedPositions, type Group, groups, partBrake } from './features.ts';
import type { FeltAmounts } from './felt.ts';

/** How large a difference is: from half a just noticeable amount, over one, over four. */
export type Size = 'slight' | 'plain' | 'much';

/** One thing that feels different, with what it was and what it is. Shares are permille. */
export type Finding = { readonly size: Size; readonly amounts: number } & FindingFacts;

type FindingFacts =
  | ({ readonly group: 'drive' } & DriveChange)
  | { readonly group: 'launch'; readonly from: number; readonly to: number }
  | { readonly group: 'ramp'; readonly fromMs: number; readonly toMs: number }
  /** `bothLock`: either locks the wheels of the car in question. */
  | { readonly group: 'brake'; readonly from: number; readonly to: number; readonly bothLock: boolean }
  | {
      readonly group: 'partBrake';
      readonly change: 'more' | 'less' | 'elsewhere';
      readonly from: PartBrake;
      readonly to: PartBrake;
    }
  | {
      readonly group: 'pwm';
      readonly fromHz: number;
      readonly toHz: number;
      /** Whether the frequency changes the pull; with full off-time braking it does not. */
      readonly pull: boolean;
      /** Whether a brake is chopped and so changes with the frequency. */
      readonly choppedBrake: boolean;
    }
  | { readonly group: 'decay'; readonly from: 'slow' | 'fast'; readonly to: 'slow' | 'fast' }
  | { readonly group: 'limit'; readonly from: number; readonly to: number };

/** Duty gained or lost at a trigger position; both permille. */
export interface DutyChange {
  readonly trigger: number;
  readonly by: number;
}

interface DriveChange {
  /** `early`, `late`: the curve is fuller there; `begins`: drive begins at another trigger; `more`, `less`: anything else. */
  readonly change: 'early' | 'late' | 'begins' | 'more' | 'less';
  readonly most: DutyChange;
  /** The largest change the other way, where it is noticeable. */
  readonly against: DutyChange | null;
  /** Release bands, permille of travel. */
  readonly band: { readonly from: number; readonly to: number };
}

/** What brakes at part trigger: nothing, the drag brake in its zone, or all of the off time. */
export type PartBrake =
  | { readonly kind: 'none' }
  | {
      readonly kind: 'drag';
      readonly strength: number;
      readonly zoneFrom: number;
      readonly zoneTo: number;
      readonly closingOnly: boolean;
    }
  | { readonly kind: 'full' };

/** What would be noticed, the largest first. */
export function findingsOf(
  from: Tuning,
  to: Tuning,
  sizes: Readonly<Record<Group, number>>,
  felt: FeltAmounts,
  locks: (tuning: Tuning) => boolean,
): Finding[] {
  return groups
    .flatMap((group) => {
      const amounts = sizes[group];
      const size = sizeOf(amounts);
      return size ? [{ size, amounts, ...factsOf(group, from, to, felt, locks) }] : [];
    })
    .sort((a, b) => b.amounts - a.amounts);
}

/** Null: too small to speak of. */
export function sizeOf(amounts: number): Size | null {
  // Half an amount that a sum of squares has made a last bit smaller is still half an amount.
  const rounded = Math.round(amounts * 1e9) / 1e9;
  if (rounded < 0.5) return null;
  return rounded <= 1 ? 'slight' : rounded <= 4 ? 'plain' : 'much';
}

function factsOf(
  group: Group,
  a: Tuning,
  b: Tuning,
  felt: FeltAmounts,
  locks: (tuning: Tuning) => boolean,
): FindingFacts {
  switch (group) {
    case 'drive':
      return { group, ...driveChange(a, b, felt) };
    case 'launch':
      return { group, from: a.minDrive, to: b.minDrive };
    case 'ramp':
      return { group, fromMs: a.rampUpMs, toMs: b.rampUpMs };
    case 'brake':
      return { group, from: a.brakeFull, to: b.brakeFull, bothLock: locks(a) && locks(b) };
    case 'partBrake':
      return { group, change: partBrakeChange(a, b), from: partBrakeOf(a), to: partBrakeOf(b) };
    case 'pwm': {
      const pull = a.rectify === 'async' || b.rectify === 'async';
      return { group, fromHz: a.pwmHz, toHz: b.pwmHz, pull, choppedBrake: isChopped(a) || isChopped(b) };
    }
    case 'decay':
      return { group, from: a.decay, to: b.decay };
    case 'limit':
      return { group, from: a.maxDrive, to: b.maxDrive };
  }
}

function driveChange(a: Tuning, b: Tuning, felt: FeltAmounts): DriveChange {
  const [before, after] = [throttleOf(a), throttleOf(b)];
  const changes = comparedPositions.map((x) => ({ x, by: after.duty(x) - before.duty(x) }));
  const most = changes.reduce((best, each) => (Math.abs(each.by) > Math.abs(best.by) + 1e-9 ? each : best));
  const opposite = changes
    .filter(({ by }) => by * most.by < 0)
    .reduce((best, each) => (Math.abs(each.by) > Math.abs(best.by) ? each : best), { x: 0, by: 0 });
  const inPermille = ({ x, by }: { x: number; by: number }): DutyChange => ({
    trigger: Math.round(1000 * x),
    by: Math.round(1000 * by),
  });
  return {
    change: driveChangeKind(a, b, most),
    most: inPermille(most),
    against: Math.abs(1000 * opposite.by) >= felt.duty ? inPermille(opposite) : null,
    band: { from: a.releaseBand, to: b.releaseBand },
  };
}

function driveChangeKind(a: Tuning, b: Tuning, most: { x: number; by: number }): DriveChange['change'] {
  if (throttleOf(a).released(most.x) !== throttleOf(b).released(most.x)) return 'begins';
  // The curve is named only where it is what made the largest change.
  const [curveA, curveB] = [curveFunction(a.curve), curveFunction(b.curve)];
  const within = ({ releaseBand }: Tuning) => (1000 * most.x - releaseBand) / (1000 - releaseBand);
  const ofCurve = (1000 * (curveB.value(within(b)) - curveA.value(within(b))) * (b.maxDrive - b.minDrive)) / 1000;
  if (ofCurve * most.by > 0 && Math.abs(ofCurve) >= Math.abs(1000 * most.by) / 2) return most.by > 0 ? 'early' : 'late';
  return most.by > 0 ? 'more' : 'less';
}

function partBrakeChange(a: Tuning, b: Tuning): 'more' | 'less' | 'elsewhere' {
  const sum = (shares: readonly number[]) => shares.reduce((total, share) => total + share, 0);
  const change = Math.round(1000 * (sum(partBrake(b)) - sum(partBrake(a))));
  return change > 0 ? 'more' : change < 0 ? 'less' : 'elsewhere';
}

function partBrakeOf(tuning: Tuning): PartBrake {
  if (tuning.rectify === 'sync') return { kind: 'full' };
  const { strength, zoneFrom, zoneTo, closingOnly } = tuning.drag;
  const reached = strength > 0 && zoneTo > tuning.releaseBand;
  return reached ? { kind: 'drag', strength, zoneFrom, zoneTo, closingOnly } : { kind: 'none' };
}

/** A brake that shorts a part of each period, neither nothing nor all of it. */
function isChopped(tuning: Tuning): boolean {
  const between = (share: number) => share > 0 && share < 1000;
  const drag = partBrakeOf(tuning);
  return between(tuning.brakeFull) || (drag.kind === 'drag' && between(drag.strength));
}
