import { compareProfiles } from '../compare/compare.ts';
import { type Drag, defaultTuning, type Tuning, tuningOf } from '../model/profile.ts';
import { brakeEffectsOf } from './brake-effect.ts';
import { curveOn } from './curve-on-unit.ts';
import { driveRangeOn } from './drive-range.ts';
import { type Outcome, type ReportField, type ReportRow, type ReportValue, severityOf } from './report.ts';
import type { Steps, UnitSheet } from './sheet.ts';
import { nearestOf, nearestRatio } from './steps.ts';

/** A profile within the limits of a unit, and what became of every setting on the way there. */
export interface Conversion<T extends Tuning = Tuning> {
  /**
   * What the unit does, as a profile: always a valid one. Where the unit holds its curve as a table, the curve here is
   * the one of nine points or fewer that comes nearest to the table.
   */
  readonly profile: T;
  /**
   * Entries of a unit's table at equal distances of trigger beyond the release band, or null where the unit has none.
   * Permille of the way from the unit's own minimum drive to its own maximum drive; where it has no such settings, from no
   * drive and to full drive: so permille of duty where both are missing.
   */
  readonly table: readonly number[] | null;
  /** A row for every setting, in the order of `reportFields`. */
  readonly report: readonly ReportRow[];
  /** The car may become faster than the driver wanted: ask before anything is kept. */
  readonly needsConfirmation: boolean;
}

/**
 * Moves a profile to a unit. Maximum drive never rises but where the unit cannot go as low, and then it asks to be
 * confirmed. There and back to `unlimitedSheet` keeps everything that was exact.
 */
export function convertProfile<T extends Tuning>(profile: T, sheet: UnitSheet): Conversion<T> {
  const range = driveRangeOn(sheet, profile);
  const curve = curveOn(sheet.curve, profile, range);
  const drag = dragOn(sheet, profile.drag);
  const switching = switchingOn(sheet, profile);
  const releaseBand = steppedOn(sheet.releaseBand, profile.releaseBand);
  const rampUpMs = steppedOn(sheet.rampUpMs, profile.rampUpMs);
  const brakeFull = steppedOn(sheet.brakeFull, profile.brakeFull);
  const pwmHz = frequencyOn(sheet, profile.pwmHz);
  const result: T = {
    ...profile,
    minDrive: range.minDrive,
    maxDrive: range.maxDrive,
    releaseBand: releaseBand.value,
    curve: curve.curve,
    rampUpMs: rampUpMs.value,
    brakeFull: brakeFull.value,
    drag: drag.drag,
    pwmHz: pwmHz.value,
    decay: switching.decay,
    rectify: switching.rectify,
  };
  const row = rowsOf(profile, result);
  const report: ReportRow[] = [
    row('minDrive', range.minWhat),
    limitRow(row('maxDrive', range.maxWhat), profile, result),
    row('releaseBand', releaseBand.what),
    curveRow(row('curve', curve.what), curve),
    row('rampUpMs', rampUpMs.what),
    row('brakeFull', brakeFull.what),
    row('drag.strength', drag.strength),
    zoneRow(row('drag.zoneFrom', drag.zoneFrom)),
    zoneRow(row('drag.zoneTo', drag.zoneTo)),
    row('drag.closingOnly', drag.closingOnly),
    frequencyRow(row('pwmHz', pwmHz.what), profile, result),
    wordRow(row('decay', switching.decayWhat)),
    wordRow(row('rectify', switching.rectifyWhat)),
  ];
  const needsConfirmation = report.some(({ severity }) => severity === 'safety');
  return { profile: result, table: curve.table, report, needsConfirmation };
}

interface On<V> {
  readonly value: V;
  readonly what: Outcome;
}

/** A setting that does nothing at 0. */
function steppedOn(steps: Steps | null, wanted: number): On<number> {
  if (steps === null) return { value: 0, what: wanted === 0 ? 'exact' : 'lost' };
  return nearestOf(steps, wanted);
}

function frequencyOn({ pwmHz }: UnitSheet, wanted: number): On<number> {
  // Nobody knows how the unit switches: the profile keeps what was wanted.
  if (pwmHz === null) return { value: wanted, what: 'lost' };
  const value = nearestRatio(pwmHz.list, wanted);
  const within = wanted >= Math.min(...pwmHz.list) && wanted <= Math.max(...pwmHz.list);
  return { value, what: value === wanted ? 'exact' : within ? 'rounded' : 'clamped' };
}

/** Decay and off-time braking, of which fast and full exclude each other: as few changes as possible. */
function switchingOn(sheet: UnitSheet, { decay, rectify }: Pick<Tuning, 'decay' | 'rectify'>) {
  const changes = (pair: { decay: string; rectify: string }) =>
    2 * Number(pair.rectify !== rectify) + Number(pair.decay !== decay);
  const [best = defaultTuning] = sheet.rectify
    .flatMap((r) => sheet.decay.map((d) => ({ decay: d, rectify: r })))
    .filter((pair) => !(pair.decay === 'fast' && pair.rectify === 'sync'))
    .sort((a, b) => changes(a) - changes(b));
  const what = (kept: boolean): Outcome => (kept ? 'exact' : 'lost');
  return {
    decay: best.decay,
    rectify: best.rectify,
    decayWhat: what(best.decay === decay),
    rectifyWhat: what(best.rectify === rectify),
  };
}

type DragOn = { drag: Drag } & Record<'strength' | 'zoneFrom' | 'zoneTo' | 'closingOnly', Outcome>;

function dragOn(sheet: UnitSheet, drag: Drag): DragOn {
  const offOr = (what: Outcome): Outcome => (drag.strength === 0 ? 'exact' : what);
  if (sheet.drag === null) {
    return {
      drag: { ...drag, strength: 0, closingOnly: false },
      strength: offOr('lost'),
      zoneFrom: offOr('lost'),
      zoneTo: offOr('lost'),
      closingOnly: drag.closingOnly ? 'lost' : 'exact',
    };
  }
  const zoneFrom = nearestOf(sheet.drag.zone, drag.zoneFrom);
  const zoneTo = nearestOf(sheet.drag.zone, drag.zoneTo);
  const zone = { zoneFrom: zoneFrom.value, zoneTo: zoneTo.value };
  // Braking while the trigger opens is worse than not braking while it closes.
  if (drag.closingOnly && !sheet.drag.closingOnly) {
    const { strength, zone: zones } = sheet.drag;
    const off = strength.min === 0;
    // A unit that cannot switch it off gets a zone of one point, as low as can be: inside the release band it does nothing.
    const kept = off ? zone : { zoneFrom: zones.min, zoneTo: zones.min };
    const zoneWhat = (what: Outcome, wanted: number): Outcome =>
      off ? what : wanted === zones.min ? 'exact' : 'clamped';
    return {
      drag: { ...kept, strength: strength.min, closingOnly: false },
      strength: drag.strength === strength.min ? 'exact' : 'lost',
      zoneFrom: zoneWhat(zoneFrom.what, drag.zoneFrom),
      zoneTo: zoneWhat(zoneTo.what, drag.zoneTo),
      closingOnly: 'lost',
    };
  }
  const strength = nearestOf(sheet.drag.strength, drag.strength);
  return {
    drag: { ...zone, strength: strength.value, closingOnly: drag.closingOnly },
    strength: strength.what,
    zoneFrom: zoneFrom.what,
    zoneTo: zoneTo.what,
    closingOnly: 'exact',
  };
}

const fieldOf = (tuning: Tuning, field: ReportField): ReportValue =>
  field.startsWith('drag.')
    ? tuning.drag[field.slice(5) as keyof Drag]
    : tuning[field as Exclude<keyof Tuning, 'drag'>];

/** The profile with one setting of another. */
function withField(tuning: Tuning, field: ReportField, other: Tuning): Tuning {
  if (!field.startsWith('drag.')) return { ...tuning, [field]: fieldOf(other, field) };
  // Losing "only while closing" switches the drag brake off: both are one change.
  const strength = field === 'drag.closingOnly' ? other.drag.strength : tuning.drag.strength;
  return { ...tuning, drag: { ...tuning.drag, strength, [field.slice(5)]: fieldOf(other, field) } };
}

/** Makes rows; the size of each is what would be felt if this setting alone had changed. */
function rowsOf(before: Tuning, after: Tuning) {
  return (field: ReportField, what: Outcome): ReportRow => {
    const size =
      what === 'exact' ? 0 : compareProfiles(tuningOf(before), withField(tuningOf(before), field, after)).distance;
    return { field, what, from: fieldOf(before, field), to: fieldOf(after, field), size, severity: severityOf(size) };
  };
}

/** A limit that rose, whatever the reason, is a matter of safety. */
const limitRow = (row: ReportRow, before: Tuning, after: Tuning): ReportRow =>
  after.maxDrive > before.maxDrive ? { ...row, severity: 'safety' } : row;

const curveRow = (row: ReportRow, { error }: { error: ReportRow['curveError'] | null }): ReportRow =>
  error ? { ...row, curveError: error } : row;

function frequencyRow(row: ReportRow, before: Tuning, after: Tuning): ReportRow {
  if (row.what === 'lost') return { ...row, to: null, size: null, severity: 'major' };
  const brakeEffects = brakeEffectsOf(before, after.pwmHz);
  return brakeEffects.length > 0 ? { ...row, brakeEffects } : row;
}

/** The zone of a drag brake that is lost lies nowhere. */
const zoneRow = (row: ReportRow): ReportRow => (row.what === 'lost' ? { ...row, to: null } : row);

/** How a unit switches is another character of the car, whatever the numbers say. */
const wordRow = (row: ReportRow): ReportRow => (row.what === 'exact' ? row : { ...row, severity: 'major' });
