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

export const convert = {
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
