/** Moving a profile to a controller unit: what a unit can do, and what becomes of every setting. */
const names = {
  minDrive: 'minimum drive',
  maxDrive: 'maximum drive',
  releaseBand: 'release band',
  rampUpMs: 'ramp time',
  brakeFull: 'release brake',
  dragStrength: 'drag brake',
  dragZone: 'drag zone',
  pwmHz: 'switching frequency',
  decay: 'decay mode',
  rectify: 'off-time braking',
  curve: 'throttle curve',
  tableEntries: 'entries of the table',
  tableStep: 'step of the table',
  curvePoints: 'points of the curve',
};

type Curve =
  | { readonly kind: 'shape'; readonly shape: number }
  | { readonly kind: 'points'; readonly points: readonly unknown[] };
type Value = number | string | boolean | Curve | null;

const fields: Readonly<Record<string, string>> = {
  minDrive: 'Minimum drive',
  maxDrive: 'Maximum drive',
  releaseBand: 'Release band',
  curve: 'Throttle curve',
  rampUpMs: 'Ramp time',
  brakeFull: 'Release brake',
  'drag.strength': 'Drag brake',
  'drag.zoneFrom': 'Drag zone from',
  'drag.zoneTo': 'Drag zone to',
  'drag.closingOnly': 'Drag brake only while closing',
  pwmHz: 'Switching frequency',
  decay: 'Decay mode',
  rectify: 'Off-time braking',
};

const signs: Readonly<Record<string, string>> = { async: 'none', sync: 'full' };

function value(field: string, what: Value): string {
  if (what === null) return 'unknown';
  if (typeof what === 'boolean') return what ? 'yes' : 'no';
  if (typeof what === 'string') return signs[what] ?? what;
  if (typeof what === 'object') {
    if (what.kind === 'points') return `by ${what.points.length} points`;
    return what.shape === 0 ? 'straight' : `fuller ${what.shape > 0 ? 'early' : 'late'}, ${Math.abs(what.shape)}`;
  }
  if (field === 'rampUpMs') return what === 0 ? 'off' : `${what} ms`;
  return field === 'pwmHz' ? `${what} Hz` : `${what / 10} %`;
}

const outcomes: Readonly<Record<string, string>> = {
  exact: 'as it is',
  rounded: 'rounded to what the unit allows',
  clamped: 'as far as the unit goes',
  approximated: 'as near as the unit’s curve comes',
  folded: 'done by the unit’s table',
  lost: 'the unit cannot do this',
};

const severities: Readonly<Record<string, string>> = {
  none: 'not felt',
  minor: 'hardly felt',
  noticeable: 'just felt',
  major: 'plainly felt',
  safety: 'may be faster',
};

export const convert = {
  row: {
    field: (field: string) => fields[field] ?? field,
    value,
    outcome: (what: string) => outcomes[what] ?? what,
    severity: (severity: string) => severities[severity] ?? severity,
    /** @param amounts in just noticeable amounts; null for a change nobody can tell */
    size: (amounts: number | null) => (amounts === null || amounts < 0.05 ? '' : amounts.toFixed(1)),
  },
  /** Points are percent of full drive. */
  curveError: ({ largestPoints, rmsPoints }: { largestPoints: number; rmsPoints: number }) =>
    `Throttle curve: differs by up to ${largestPoints.toFixed(1)} points of drive, ${rmsPoints.toFixed(1)} on average (root mean square).`,
  /** Shares are permille of a full brake. */
  brakeEffect: ({ setting, from, to }: { setting: string; from: number; to: number }) =>
    `${setting === 'brakeFull' ? 'Release' : 'Drag'} brake: at the new switching frequency it brakes like ${Math.round(to / 10)} % of a full brake instead of ${Math.round(from / 10)} % (on the club motor, whose values are an order of magnitude).`,
  safety: (to: number, from: number) =>
    `This unit would drive at up to ${to / 10} % where the profile stops at ${from / 10} %. Nobody should be handed this car without knowing it.`,
  command: {
    usage: `Usage: lanewise profile convert FILE --unit UNIT [--json]

Moves a profile to a controller unit's limits and tells what became of every setting:
{"profile","report":[{"field","what","from","to","size","severity"},…],"needsConfirmation","table"}

  FILE       a profile, in the shared form or alone
  UNIT       what the unit can do: for each setting {"min","max","step"} in the numbers of a profile, or null
             where it has none:

             {"minDrive":{"min":0,"max":400,"step":10}, "maxDrive":{…}, "releaseBand":{…}, "rampUpMs":{…},
              "brakeFull":{…}, "drag":{"strength":{…},"zone":{…},"closingOnly":false},
              "pwmHz":{"list":[500,1000,2000]}, "decay":["slow"], "rectify":["async","sync"],
              "curve":{"kind":"number","min":-100,"max":100,"step":10}}

             A curve may also be {"kind":"table","n":17,"yStep":5}, {"kind":"points","max":5} or {"kind":"any"}
  what       exact, rounded, clamped, approximated, folded (into the table) or lost
  size       how much of the change is felt, in just noticeable amounts; null where nobody knows
  severity   none, minor, noticeable, major, or safety: the car may become faster than wanted, so ask first
  table      entries of a unit's table; permille of the way from the unit's own minimum to its own maximum drive,
             or of full drive where it has neither; null for a unit without table

  --all      also the settings that stay as they are
  --json     one JSON document instead of text
  --help     this text

FILE or UNIT may be -, standard input.
`,
    wrongUse: (reason: string) => `${reason}\n"lanewise profile convert --help" says what is possible.`,
    oneFile: 'Name one file.',
    noUnit: 'Name the unit’s file: --unit UNIT.',
    oneStandardInput: 'Only one of the two can come from standard input.',
    wrongUnit: (source: string, sentence: string) => `${source}: ${sentence}`,
    nothing: 'Every setting stays as it is.',
    heads: ['Setting', 'was', 'becomes', '', 'felt'],
    cells: (cells: readonly string[], widths: readonly number[]) =>
      cells
        .map((cell, i) => cell.padEnd(widths[i] ?? 0))
        .join('  ')
        .trimEnd(),
    felt: (severity: string, size: string) => (size === '' ? severity : `${severity} (${size})`),
    table: (entries: readonly number[]) => `Table of the unit, permille: ${entries.join(' ')}`,
  },
  /** What can be wrong with a unit's sheet. */
  sheet: {
    names,
    object: 'A unit’s sheet must be one JSON object with a key for each setting.',
    unknownKey: (key: string) => `There is no setting "${key}" on a unit’s sheet.`,
    whole: (what: string, missing: boolean) =>
      missing ? `Say least, most and step of the ${what}.` : `The ${what} must be in whole numbers.`,
    between: (what: string, least: number, most: number) => `The ${what} must be from ${least} to ${most}.`,
    step: (what: string) => `The step of the ${what} must be 1 or more.`,
    steps: (what: string) => `The ${what} must be {"min":…,"max":…,"step":…}, or null where the unit has none.`,
    rising: (what: string) => `The least ${what} must not be above the most.`,
    list: 'The switching frequencies must be {"list":[…]} with at least one in hertz, or null where nobody knows.',
    oneOf: (what: string, all: readonly string[]) =>
      `The ${what} must be a list with at least one of ${all.join(' and ')}.`,
    twice: (what: string) => `The ${what} names the same thing twice.`,
    drag: 'The drag brake must be {"strength":{…},"zone":{…},"closingOnly":true or false}, or null where the unit has none.',
    closingOnly: 'Say whether the drag brake can work only while the trigger closes: true or false.',
    curve:
      'The throttle curve must be of kind "number" (min, max, step), "table" (n, yStep), "points" (max) or "any", or null where it is a straight line.',
    /** @param points percent of drive */
    span: (points: number) =>
      `No setting is possible: the highest maximum drive is not ${points} points above the lowest minimum drive.`,
    syncWithFast: 'Fast decay and full off-time braking exclude each other: the unit must offer another choice of one.',
  },
};
