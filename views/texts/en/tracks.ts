/** Tracks and their lanes. */
export const tracks = {
  title: 'Tracks',
  add: 'Add a track',
  none: 'No track yet',
  noneIntro: 'A track has lanes, a place where cars start, and a shortest lap for each lane.',
  columns: { name: 'Track', lanes: 'Lanes', start: 'Start' },
  archived: 'Archived tracks',
  archivedIntro: 'Not offered for new meetings. Everything that was run on them stays.',

  newTitle: 'New track',
  newIntro: 'Colours, lengths and shortest laps of the lanes come on the next page.',
  save: 'Save the track',
  create: 'Add the track',
  created: 'The track is added. Its lanes have usual values: make them your own here.',
  saved:
    'Saved. Meetings on this track that have not begun use it from now on; those that have begun keep what they had.',
  name: 'Name',

  start: 'Where cars wait for the start',
  startModes: {
    ahead: {
      label: 'Ahead of the line',
      short: 'ahead of the line',
      hint: 'Cars wait just before the timing line: the first time over it begins lap 1.',
    },
    behind: {
      label: 'On or past the line',
      short: 'past the line',
      hint: 'Cars wait on or past the timing line: the first time over it completes lap 1, timed from the start.',
    },
    carry: {
      label: 'Where they stopped',
      short: 'where they stopped',
      hint: 'Cars stay where the heat before left them: the first time over the line completes a lap, however short.',
    },
  },

  power: 'What cuts the power',
  powerHint:
    'Decides how long a car may still roll over the line after power off. Choosing another case fills in its usual times (common practice).',
  powerCuts: {
    relay: { label: 'A relay', hint: 'Cut by Lanewise at the instant: 2 s in a track call, 2 s at the end.' },
    hand: { label: 'A hand', hint: 'Somebody reaches for the switch: 5 s in a track call, 2 s at the end.' },
    nobody: { label: 'Nobody', hint: 'Drivers stop when called: 10 s in a track call, 0 s at the end.' },
    own: { label: 'Own times', hint: 'The roll times typed below, whatever they are.' },
  },
  holdRoll: 'Roll time in a track call',
  holdRollHint: 'A crossing up to this long after the call still counts.',
  endRoll: 'Roll time at the end',
  endRollHint: 'A crossing up to this long after the end of a heat still counts.',

  lanes: 'Number of lanes',
  lanesHint:
    '1 to 16. Lanes added here appear below with usual values once you save; taken away are the highest numbers.',
  laneIn: (number: number, colour: string) => `Lane ${number}, ${colour}`,
  colour: 'Colour',
  pattern: 'Pattern',
  patterns: {
    solid: 'plain',
    dots: 'dots',
    cross: 'cross-hatch',
    'diagonal-down': 'falling lines',
    'diagonal-up': 'rising lines',
    horizontal: 'level lines',
    vertical: 'upright lines',
    checker: 'checks',
  } as Readonly<Record<string, string>>,
  length: 'Length',
  minLap: 'Shortest possible lap',
  minLapHint: 'Anything quicker than the shortest possible lap is taken for a bounce of the sensor and does not count.',
  suggestion: (best: string, suggested: string) =>
    `Best clean lap so far ${best} s; 0.7 of it is ${suggested} s (common practice).`,
  metres: 'm',
  seconds: 's',

  laneNeeded: (lane: number, meeting: string) =>
    `Lane ${lane} is needed by a heat of “${meeting}” that is not confirmed. Confirm its heats or archive that meeting first.`,
  alike: (pairs: readonly string[]) =>
    `${pairs.join('; ')}: these look much alike. Their numbers tell them apart; another colour or pattern would too. (Judged for ordinary sight; colour blindness is not tried out.)`,
  pair: (one: number, other: number) => `Lanes ${one} and ${other}`,

  archive: 'Archive this track',
  archiveIntro: 'It is no longer offered for new meetings. Nothing is deleted, and it can be put back.',
  restore: 'Put it back',
  isArchived: 'This track is archived: it is not offered for new meetings.',
};

/** Colours with a word each; a lane is called by the nearest. The first eight are those lanes begin with. */
export const colourWords: Readonly<Record<string, string>> = {
  '#cc79a7': 'purple',
  '#f0e442': 'yellow',
  '#56b4e9': 'sky blue',
  '#d55e00': 'vermilion',
  '#0072b2': 'blue',
  '#e69f00': 'orange',
  '#009e73': 'green',
  '#ffffff': 'white',
  '#d0021b': 'red',
  '#ff99cc': 'pink',
  '#7a1fa2': 'violet',
  '#1a237e': 'dark blue',
  '#1b5e20': 'dark green',
  '#8bc34a': 'light green',
  '#00b8a9': 'turquoise',
  '#795548': 'brown',
  '#8c8c8c': 'grey',
  '#000000': 'black',
};
