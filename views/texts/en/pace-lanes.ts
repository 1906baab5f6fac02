/** The lanes of a track compared. */
export const paceLanes = {
  title: 'Lanes compared',
  intro:
    'What each lane adds to a clean lap or takes off, against the mean of its track. Who drove where, and when, is taken into account.',
  noFit: 'Nothing has been worked out yet. It is once a heat has been confirmed or past laps have been read in.',
  oneLane: 'There is only one lane with laps, so there is nothing to compare.',
  differ: (quickest: number, slowest: number, seconds: string) =>
    `Lane ${quickest} is the quickest, lane ${slowest} the slowest: ${seconds} s a lap apart.`,
  noDifference: 'No lane is certainly quicker or slower than the others.',
  description: (lap: string) =>
    `Each square is a lane’s effect on a lap of ${lap} s, the stroke through it holds the true effect in 9 of 10 cases.`,
  pictureTitle: (track: string) => `Lanes of ${track}`,
  quicker: '← quicker',
  slower: 'slower →',
  lane: (number: number) => `Lane ${number}`,
  percent: (figure: string) => `${figure} %`,
  between: (low: string, high: string) => `${low} to ${high}`,
  columns: {
    lane: 'Lane',
    percent: 'Effect, %',
    seconds: 'Effect, s a lap',
    limits: 'Limits, s a lap',
    verdict: 'Certain?',
  },
  verdicts: { quicker: 'quicker', slower: 'slower', same: 'no difference seen' },
};
