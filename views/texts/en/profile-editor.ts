/** The form of a controller profile. Everyday words of drivers stand in hints; labels are the physical names. */
export const profileEditor = {
  name: 'Name',
  nameHint: 'How you tell it from your others. Up to 40 characters.',
  nameLong: 'At most 40 characters; some signs count as several.',
  settings: 'Settings',
  more: 'More settings',
  moreHint: 'Release band, drag zone, decay mode, off-time braking',
  byPoints: 'Curve by points',
  notes: 'Notes',
  notesHint: 'Anything worth knowing later: tyres, voltage, the track that day. Up to 280 characters.',
  notesLong: 'At most 280 characters.',
  notesCharacters: 'Letters, figures, spaces and signs you can see, please.',

  units: { percent: '%', ms: 'ms', hz: 'Hz', none: '' },
  /** What a slider is called beside its number field. */
  slider: (label: string) => `${label}, slider`,
  sliderValue: (value: string, unit: string) => (unit === '' ? value : `${value} ${unit}`),

  minDrive: {
    label: 'Minimum drive',
    hint: 'The kick or bite when the trigger leaves rest. Just enough that the car creeps.',
  },
  maxDrive: {
    label: 'Maximum drive',
    hint: 'Power at full trigger. Less for children, a slippery track or a fast lane.',
  },
  shape: {
    label: 'Throttle curve',
    hint: 'Fuller early: lively, more punch in the first half. Fuller late: gentle, finer control out of corners.',
    ends: { low: 'fuller late', high: 'fuller early' },
    idle: 'The curve is set by points, under "Curve by points": this number has no effect.',
  },
  rampUpMs: {
    label: 'Ramp time',
    hint: 'How long power takes from nothing to full: softness, anti-spin. 0 is at once; it helps where wheels spin.',
  },
  brakeFull: {
    label: 'Release brake',
    hint: 'How hard the car stops when you let go. Less lets it roll, or coast.',
  },
  dragStrength: {
    label: 'Drag brake',
    hint: 'Holds the car back at part trigger, before you let go: engine braking.',
    /** Where it acts, beside the slider. */
    zone: (from: string, to: string, closingOnly: boolean) =>
      `From ${from} % to ${to} % of the trigger${closingOnly ? ', only while the trigger is closing' : ''}.`,
    idle: 'Off-time braking is full: it brakes at every part of the trigger, and the drag brake has no effect.',
    off: 'At 0 % there is no drag brake, whatever its zone.',
    covered: 'The drag zone ends inside the release band, where the release brake acts: the drag brake has no effect.',
  },
  pwmHz: {
    label: 'Switching frequency',
    hint: 'How often power is switched each second. Low feels stronger, rougher and warmer; high is smooth and weaker at small trigger.',
  },
  releaseBand: {
    label: 'Release band',
    hint: 'Trigger up to here counts as let go. Larger for a worn or sticky trigger, smaller against dead travel.',
  },
  zoneFrom: { label: 'Drag zone from', hint: '' },
  zoneTo: { label: 'Drag zone to', hint: 'Part of the trigger in which the drag brake acts, both ends included.' },
  closingOnly: {
    label: 'Drag brake only while the trigger is closing',
    hint: 'Then it does not hold you back while you squeeze, or hold the trigger still in a bend.',
  },
  decay: {
    label: 'Decay mode',
    hint: 'Where the motor current goes while power is switched off.',
    slow: { label: 'Slow', hint: 'It goes round in the motor. Usual.' },
    fast: { label: 'Fast', hint: 'It goes back to the supply. Only controllers with a full bridge can.' },
  },
  rectify: {
    label: 'Off-time braking',
    hint: 'What the motor sees between two bursts of power.',
    async: { label: 'None', hint: 'The car runs free between bursts. Usual.' },
    sync: {
      label: 'Full',
      hint: 'The motor is shorted between bursts: the car follows the trigger closely, as with full drag brake everywhere.',
    },
  },
  curveKind: {
    label: 'The throttle curve is given by',
    shape: { label: 'One number', hint: 'The slider "Throttle curve".' },
    points: { label: 'Points', hint: 'Up to 7 points between the two ends, joined smoothly.' },
  },
  points: {
    hint: 'Trigger is counted from the end of the release band, drive from minimum to maximum drive. Leave rows empty that you do not need; the order does not matter.',
    legend: (number: number) => `Point ${number}`,
    trigger: 'Trigger',
    drive: 'Drive',
    add: 'Add a point',
    remove: 'Remove',
    removeName: (number: number) => `Remove point ${number}`,
    both: 'Give both numbers of the point, or neither.',
    apart: 'At least 2 % of trigger from the next point and from both ends.',
    falls: 'Not below the point before it: a curve never falls.',
  },

  maxTooLow: 'At least 5 points above minimum drive.',
  zoneEnds: 'Not below the start of the zone.',
  syncFast: 'Fast decay goes with off-time braking "none" only.',

  limit: (percent: string) =>
    `Race limit ${percent} %: in the race to come no more may be dialled in, whatever stands here.`,

  changes: (version: number) => `Changed since version ${version}`,

  preview: 'What these settings do',
  previewIntro: 'Nothing is saved yet. Save below, or change more and look again.',
  previewBack: 'Back to the saved settings',
  lookFirst: 'Show what this does',
  undo: 'Back to the saved settings',
  undoNew: 'Back to the usual settings',
  save: 'Save as a new version',
};
