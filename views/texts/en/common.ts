/** Sentences and words that components and many pages share. */
export const common = {
  productName: 'Lanewise',
  skipToContent: 'Skip to the content',
  mainNavigation: 'Main',
  breadcrumbs: 'You are here',
  help: 'Help',
  madeWith: 'Counted and kept by Lanewise',

  field: {
    optional: '(optional)',
    chooseOne: 'Choose one',
  },

  formErrors: {
    title: (count: number) => (count === 1 ? 'One thing needs another look' : `${count} things need another look`),
    kept: 'Nothing was changed. What you typed is still here.',
  },

  notice: {
    info: 'Note',
    ok: 'Done',
    warning: 'Look here',
    danger: 'Problem',
  },

  heatState: {
    planned: 'Planned',
    armed: 'Armed',
    countdown: 'Countdown',
    running: 'Go',
    held: 'Track call',
    ended: 'Ended',
    confirmed: 'Confirmed',
    void: 'Void',
  },

  lane: {
    name: (number: number) => `Lane ${number}`,
    nameAndColour: (number: number, colour: string) => `Lane ${number}, ${colour}`,
    colours: {
      purple: 'purple',
      yellow: 'yellow',
      sky: 'sky blue',
      vermilion: 'vermilion',
      blue: 'blue',
      orange: 'orange',
      green: 'green',
      white: 'white',
    },
  },

  table: {
    scrollHint: (caption: string) => `${caption}, scrolls sideways`,
    nothing: 'Nothing here yet.',
  },

  chart: {
    showTable: 'The same as a table',
  },

  clock: {
    left: 'Time left',
    elapsed: 'Time run',
    stopped: 'stopped',
    lapsDone: (done: number, of: number) => `${done} of ${of} laps done`,
  },

  pack: {
    place: 'Place',
    lane: 'Lane',
    driver: 'Driver',
    lastLap: 'Last lap',
    delta: 'Against own pace',
    inRace: 'In the race',
    race: 'race',
    gap: 'Gap',
    laps: 'Laps',
    startsIn: 'starts in',
  },

  lapChart: {
    lap: 'Lap',
    driver: 'Driver',
    notRunning: '–',
  },

  spread: {
    seconds: 'Lap time in seconds',
    driver: 'Driver',
    laps: 'Laps',
    best: 'Best',
    lower: 'Quarter under',
    median: 'Half under',
    upper: 'Three quarters under',
    longer: (count: number) => `+${count} longer`,
  },

  steps: {
    done: '(done)',
  },

  qr: {
    alternative: 'Code to scan. It holds the address written below it.',
    code: 'Code',
  },

  print: 'For paper: print this page',
};
