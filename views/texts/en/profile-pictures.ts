/** Pictures of what a controller profile does. */
export const profilePictures = {
  percent: (value: string) => `${value} %`,
  ms: (value: number) => `${value} ms`,
  trigger: 'trigger',
  drive: 'drive',
  brake: 'brake',
  time: 'time',
  own: 'these settings',
  version: (version: number) => `version ${version}`,
  both: 'both the same',
  waiting: 'Something typed is not right yet. The pictures show the settings before it.',
  released: 'let go',
  more: 'More pictures',
  moreHint: 'Drive per bit of trigger, and how drive follows in time',
  limit: (percent: string) => `race limit ${percent} %`,

  throttle: {
    title: 'Throttle',
    description: 'How much drive the motor gets at each part of the trigger.',
    label: (min: string, max: string) =>
      `Throttle: from ${min} % of drive where the trigger leaves rest to ${max} % fully pressed`,
    table: 'Drive over the trigger',
  },
  handles: {
    group: 'Points of the throttle curve to take hold of. Arrow keys move them, Escape puts back the last one.',
    min: 'Minimum drive',
    max: 'Maximum drive',
    shape: 'Throttle curve, fuller early upwards',
    point: (number: number) => `Curve point ${number}`,
    value: (trigger: string, drive: string) => `trigger ${trigger} %, drive ${drive} %`,
    hint: 'Drag the round handles, or reach them with the Tab key and move them with the arrow keys.',
  },
  brakes: {
    title: 'Brake',
    description:
      'How much of the time without power the motor is braked: on the left with the trigger let go, then over the trigger.',
    opening: 'Trigger opening',
    closing: 'Trigger closing',
    either: 'Opening and closing alike',
    table: 'Brake over the trigger',
    stretch: (from: string, to: string) => `${from} to ${to} %`,
    columns: { whose: 'Settings', direction: 'Trigger', stretch: 'Part of the trigger' },
  },
  slope: {
    title: 'Drive added per bit of trigger',
    description:
      'Where the line is high the trigger is lively, where it is low it is fine. The dotted line is the mean: 1 % of drive for 1 % of trigger.',
    mean: 'mean 1.0',
    table: 'Drive added per bit of trigger',
    word: '% of drive per % of trigger',
  },
  step: {
    title: 'Trigger pressed at once',
    description: (ms: number) =>
      ms === 0
        ? 'Full drive is there at once: the ramp time is 0.'
        : `Full drive is there after ${ms} ms; power off is never delayed.`,
    table: 'Drive after the trigger is pressed',
    column: 'After pressing',
  },
  trace: {
    title: 'Drive and brake through a corner',
    description: 'What the controller makes of a trigger that moves. The movement is made up; draw your own.',
    table: 'Drive and brake over time',
    column: 'Time',
    stretch: 'Trigger movement',
    draw: 'Draw a movement of the trigger here with finger or mouse.',
    choose: 'Movement of the trigger',
    ready: {
      corner: 'A corner',
      hairpin: 'A hairpin',
      start: 'A start',
      flutter: 'Feathering',
      own: 'The one typed or drawn below',
    },
    typed: 'Own movement, a trigger position in % for every tenth of a second',
    typedHint: 'For example: 0 0 60 100 100 20 0. From 2 to 100 numbers.',
    wrong: 'From 2 to 100 numbers from 0 to 100, with blanks between them.',
  },
  thumb: (min: string, max: string) => `Throttle curve from ${min} % to ${max} % of drive`,
};
