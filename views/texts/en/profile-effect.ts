/** Whether a version of a profile helped. */
export const profileEffect = {
  verdicts: {
    faster: (against: string) => `Faster than ${against}`,
    slower: (against: string) => `Slower than ${against}`,
    noDifferenceSeen: (against: string) => `No difference from ${against} seen`,
    notEnoughLaps: (against: string) => `Too few laps to tell from ${against}`,
  },
  version: (number: number) => `version ${number}`,
  notDriven: 'Not driven in a confirmed heat yet.',
  nothingBefore: 'No earlier version was driven in a confirmed heat: nothing to compare with.',
  sameSetup: (against: number) => `The same settings as version ${against}.`,
  short: (percent: string, seconds: string) => `a lap takes ${percent} (${seconds})`,
  figures: 'Figures',
  less: (figure: string) => `${figure} less`,
  more: (figure: string) => `${figure} more`,
  percent: (figure: string) => `${figure} %`,
  seconds: (figure: string) => `${figure} s`,
  limits: (percent: string, seconds: string, low: string, high: string) =>
    `A lap takes ${percent} (${seconds}); in 9 of 10 cases the truth lies between ${low} and ${high}. Lanes, grip and the change of grip over the evening, as the other drivers saw them, are taken off.`,
  nothing: 'No two heats can be compared: both must be driven with the same class of cars, on the same track.',
  counts: (before: Counts, after: Counts) => `Before: ${countsWords(before)}. After: ${countsWords(after)}.`,
  evenings: (both: number) =>
    both === 0
      ? 'No evening had both, so form and grip, which change from evening to evening, are in these limits.'
      : `${both === 1 ? 'One evening' : `${both} evenings`} had both: these tell most.`,
  learning: {
    takenOff: 'What juniors of this club learn from evening to evening is taken off.',
    unknown: 'Practice between evenings may be in this figure: a beginner gets quicker with any settings.',
  },
  moreHeats: (heats: number) =>
    `About ${heats === 1 ? '1 heat' : `${heats} heats`} more with each, on one evening in the order before, after, after, before, would settle it.`,
  settled: 'More heats are not needed.',
  crashes: (change: string, low: string, high: string) =>
    `Crashes in 100 laps: ${change} (between ${low} and ${high}).`,
  crashesMaybe: 'That may be chance.',
  /** Of an entry in a list. */
  gain: (percent: string) => `helped by at least ${percent} %`,
  note: 'Even where nothing differs, about one comparison in ten shows a difference. After a bad heat the next one looks better by itself, so drive a change more than once.',
};

interface Counts {
  heats: number;
  laps: number;
  cleanLaps: number;
}

function countsWords({ heats, laps, cleanLaps }: Counts): string {
  const heatsWord = heats === 1 ? '1 heat' : `${heats} heats`;
  return `${heatsWord}, ${laps === 1 ? '1 lap' : `${laps} laps`}, ${cleanLaps} of them clean`;
}
