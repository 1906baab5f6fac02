/** Chances that were told before heats, held against what happened. */
export const pacePromise = {
  title: 'Was the promise kept?',
  intro:
    'Before every heat with a handicap the program works out how likely each driver is to win. Here all of that is held against what happened.',
  private: 'Chances are told to the director only: a small chance told to a child is cruel.',
  none: 'No heat with a handicap has been run and confirmed yet.',
  few: (heats: number, wanted: number) =>
    `${heats === 1 ? '1 heat with a handicap has' : `${heats} heats with a handicap have`} been confirmed. From ${wanted} on the figures begin to say something; until then chance alone explains nearly anything.`,
  said: (told: string, came: string, starts: number) =>
    `When the program said ${told}, it happened ${came} of ${starts} times.`,
  kept: 'Every share lies within the limits of chance: the promise was kept.',
  off: (of: number, bins: number) =>
    `Outside the limits that hold in 9 of 10 cases: ${of} of ${bins} shares. One in ten lies there by chance.`,
  brier: (score: string, even: string) =>
    `Brier score: ${score}. Telling everybody the same chance would have scored ${even}; less is better, 0 would be knowing every winner.`,
  wanted: 'With a handicap that works chances are nearly equal, so the two scores should lie close together.',
  counts: (heats: number, starts: number) =>
    `${heats} ${heats === 1 ? 'heat' : 'heats'}, ${starts} ${starts === 1 ? 'start' : 'starts'}. A joint win is split.`,
  wordsTitle: 'In words',
  pictureTitle: 'Told against happened',
  description:
    'Each dot is a group of starts with about the same told chance, with its number of starts. On the dashed line the promise was kept exactly; the stroke holds the true share in 9 of 10 cases.',
  toldAxis: 'chance told',
  cameAxis: 'share won',
  between: (low: string, high: string) => `${low} to ${high}`,
  columns: { told: 'Told', starts: 'Starts', won: 'Won', came: 'Happened', limits: 'Limits' },
};
