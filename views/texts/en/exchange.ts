/** Everyday names of settings, by their keys in a file. */
const settings: Readonly<Record<string, string>> = {
  name: 'the name',
  notes: 'the notes',
  minDrive: 'minimum drive',
  maxDrive: 'maximum drive',
  releaseBand: 'the release band',
  curve: 'the throttle curve',
  'curve.shape': 'the throttle curve',
  'curve.points': 'the throttle curve',
  rampUpMs: 'the ramp time',
  brakeFull: 'the release brake',
  drag: 'the drag brake',
  'drag.strength': 'the drag brake',
  'drag.zoneFrom': 'the drag zone',
  'drag.zoneTo': 'the drag zone',
  'drag.closingOnly': 'the drag brake',
  pwmHz: 'the switching frequency',
  decay: 'the decay mode',
  rectify: 'the off-time braking',
};

const settingOf = (key: string) => (Object.hasOwn(settings, key) ? settings[key] : undefined);
/** A key may be of any length and hold any character in a file; here it is readable. */
const shown = (key: string) => {
  const visible = Array.from(key.replace(/[\p{C}\p{Zl}\p{Zp}]/gu, '\ufffd'));
  return visible.length > 40 ? `${visible.slice(0, 39).join('')}…` : visible.join('');
};

const rangeSentences = {
  value: (what: string) =>
    what === '' ? 'A value is out of its range.' : `A value is out of its range: ${settingOf(what) ?? shown(what)}.`,
  missing: (what: string) => `Something is missing: ${settingOf(what) ?? shown(what)}.`,
  driveSpan: () => 'Maximum drive must be at least 5 % above minimum drive.',
  dragZone: () => 'The drag zone ends before it begins.',
  syncFast: () => 'Fast decay and full off-time braking do not go together.',
  pointCount: () => 'The throttle curve has fewer than 2 points, or more than 9.',
  pointEnds: () => 'The throttle curve does not go from nothing to all.',
  pointsApart: () => 'Two points of the throttle curve are closer than 2 % of trigger, or out of order.',
  pointsFall: () => 'The throttle curve falls between two of its points.',
};

const sentences = {
  TOO_LARGE: () => 'This is too long for a controller profile.',
  VERSION: () => 'This is no controller profile of version 1, the one that Lanewise knows.',
  BAD_TEXT: (what: string) =>
    `A text holds characters that could hide or turn other text around${what === '' ? '' : `: ${settingOf(what) ?? shown(what)}`}.`,
  BAD_UTF8: () => 'The file is no plain UTF-8 text, or begins with a byte order mark.',
  NOT_JSON: () => 'The file is no JSON.',
  DUPLICATE_KEY: (what: string) => `A key stands twice in the file: ${shown(what)}.`,
  TOO_DEEP: () => 'Too much is nested in the file.',
  UNKNOWN_KEY: (what: string) => `The file holds something that belongs in no profile: ${shown(what)}.`,
  CALIBRATION_NOT_ALLOWED: (what: string) =>
    `The file holds a trigger calibration (${what}). That belongs to one piece of hardware and is not taken.`,
  HASH_MISMATCH: () => 'The file was changed on its way: its settings do not match its hash.',
  NOT_A_CODE: () => 'This is no profile code. Codes begin with CP1.',
  BAD_CHARACTER: (what: string) => `No code holds “${what}”. Please compare it with the original.`,
  BAD_CHECKSUM: () => 'The code has a mistake in it. Please compare it with the original.',
  BAD_LENGTH: () => 'The code is not as long as it should be. Please compare it with the original.',
};

interface Problem {
  readonly code: 'RANGE' | keyof typeof sentences;
  readonly what: string;
  readonly rule: keyof typeof rangeSentences;
}

/** What is wrong with a profile that came from elsewhere. */
export const exchange = {
  problem: ({ code, what, rule }: Problem): string =>
    code === 'RANGE' ? rangeSentences[rule](what) : sentences[code](what),
  /** The name of a profile whose code carries none. */
  unnamed: 'From a code',
};
