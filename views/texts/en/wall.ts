/** The screen for everyone in the hall. */
export const wall = {
  title: 'Wall screen',
  heat: (race: string | null, number: number, of: number) =>
    `${race === null ? 'Heat' : `${race}, heat`} ${number} of ${of}`,
  /** In the pack: laps behind the leader. */
  gap: (laps: string) => `+${laps}`,
  packCaption: 'Order of the heat so far',
  excluded: 'excluded',
  retired: 'out',
  finished: 'finished',
  next: (race: string | null, number: number) => `Next: ${race === null ? 'heat' : `${race}, heat`} ${number}`,
  nextAt: (time: string) => `about ${time}`,
  marshals: 'Marshals',
  post: (post: number, name: string) => `post ${post} \u2068${name}\u2069`,
  standing: (race: string, over: boolean) => (over ? `${race}: all heats run` : `${race}: so far`),
  afterEqual: (heats: number) => (heats === 1 ? 'after 1 heat each' : `after ${heats} heats each`),
  afterUneven: (least: number, most: number) => `after ${least} to ${most} heats, by mean of a heat`,
  moreRows: (count: number) => `and ${count} more`,
  joinTitle: 'Race with us',
  resultsTitle: 'Results',
  notDrawn: 'The heats are not drawn yet.',
  allRun: 'All heats are run',
  thanks: 'Thank you, marshals.',
  digest: (race: { lap: number; of: number | null; lane: number; leader: string; gap: string | null }) =>
    `Lap ${race.lap}${race.of === null ? '' : ` of ${race.of}`}. Leader lane ${race.lane}, ${race.leader}.` +
    (race.gap === null ? '' : ` Gap ${race.gap} laps.`),
  alert: (heat: number, state: string) => `Heat ${heat}: ${state}`,

  setup: {
    link: 'Screen size',
    title: 'Set up the wall screen',
    intro:
      'Open this page on the computer that feeds the screen. Names and lap counts are then large enough to be read from the last row.',
    inches: 'Screen, from corner to corner',
    inchesUnit: 'inches',
    metres: 'Distance of the last row',
    metresUnit: 'm',
    theme: 'Colours',
    hall: 'Dark, for a hall',
    paper: 'Light, for daylight',
    open: 'Open the wall screen',
    sleep:
      'Switch off the sleep of the screen and of its computer: over a club network without https a page cannot keep them awake.',
  },
} as const;
