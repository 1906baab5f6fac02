/** Whether a change of the car helped. */
export const paceSetting = {
  title: 'Did a setting help?',
  intro:
    'Compare heats before and after a change of the car. Lanes and the change of grip over the night, as the others saw it, are taken off.',
  order: 'Best driven in the order A, B, B, A, on the same lanes: then whatever the night does hits both alike.',
  noHeats: 'There are no heats to compare yet.',
  oneNight: 'Two settings on one night',
  oneNightHint: 'Say for each heat which setting the car had.',
  night: 'Night',
  showNight: 'Show this night',
  heat: (heat: string, lane: number, lap: string) => `${heat}, lane ${lane}: ${lap} s a lap`,
  heatName: (name: string) => `Heat ${name}`,
  version: (name: string, version: number) => `Dialled in: ${name}, version ${version}`,
  a: 'A, before',
  b: 'B, after',
  neither: 'Leave out',
  compare: 'Compare',
  acrossNights: 'Before and after a night',
  acrossHint: 'The latest 20 heats. Form and practice change from night to night too, so the limits are wider.',
  firstNight: 'First night with the new setting',
  class: 'Class',
  resultTitle: 'What came of it',
  verdicts: {
    faster: 'Faster.',
    slower: 'Slower.',
    noDifferenceSeen: 'No difference seen.',
    notEnoughLaps: 'Not enough laps.',
  },
  less: (figure: string) => `${figure} less`,
  more: (figure: string) => `${figure} more`,
  percent: (figure: string) => `${figure} %`,
  seconds: (figure: string) => `${figure} s`,
  effect: (percent: string, seconds: string, low: string, high: string) =>
    `With B a lap takes ${percent} (${seconds}); in 9 of 10 cases the truth lies between ${low} and ${high}.`,
  nothing: 'Nothing can be compared: choose at least one heat with A and one with B.',
  nothingAcross: 'Nothing can be compared: there must be heats on both sides of that night.',
  heats: (a: number, b: number) => `Compared: ${heatsWord(a)} with A, ${heatsWord(b)} with B.`,
  moreHeats: (heats: number) =>
    `About ${heatsWord(heats)} more with each setting, on one night in the order A, B, B, A, would settle it.`,
  settled: 'More heats are not needed.',
  crashes: (change: string, low: string, high: string) =>
    `Crashes in 100 laps: ${change} with B (between ${low} and ${high}).`,
  crashesMaybe: 'That may be chance.',
  practice: 'Practice between the nights is in this figure too, but for what juniors of this club usually learn.',
};

function heatsWord(count: number): string {
  return count === 1 ? '1 heat' : `${count} heats`;
}
