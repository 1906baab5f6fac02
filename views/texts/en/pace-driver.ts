/** A driver's pace, crashes, learning, and why a delay is what it is. */
export const paceDriver = {
  title: (name: string) => `Pace of ${name}`,
  link: 'Pace and crashes',
  column: 'Pace',
  lanesLink: 'Lanes compared',
  intro: 'Worked out from all laps of confirmed heats. Lanes, the grip of the night and crashes are taken off.',
  noFit: 'Nothing has been worked out yet. It is once a heat has been confirmed or past laps have been read in.',
  noLaps: (name: string) =>
    `No laps of ${name} have gone into the pace yet. They do after the first confirmed heat, or when past laps are read in.`,
  classTitle: (className: string) => `Clean pace, ${className}`,
  unknownClass: 'a class that is gone',
  lap: (lap: string, low: string, high: string) =>
    `A clean lap takes about ${lap} s; in 9 of 10 cases the true pace lies between ${low} and ${high} s.`,
  onTrack: (track: string) => `On a middle lane of “${track}”.`,
  heats: (heats: number) => (heats === 1 ? 'From 1 heat.' : `From ${heats} heats.`),
  provisional: 'provisional',
  provisionalNote: 'Provisional: too few heats to be sure. The limits get narrower with every heat.',
  seconds: 's a lap',
  unit: (figure: string) => `${figure} s`,
  percentUnit: (figure: string) => `${figure} %`,
  band: {
    title: (className: string) => `Clean pace from night to night, ${className}`,
    description: (nights: number, first: string, last: string) =>
      nights === 1
        ? `One night so far: ${last} s a lap.`
        : `The latest ${nights} nights: ${first} s a lap at first, ${last} s on the last one. The band holds the true pace in 9 of 10 cases.`,
    axis: 'seconds a lap, quicker further up',
    columns: { night: 'Night', lap: 'Clean lap, s', low: 'at least, s', high: 'at most, s' },
  },
  night: (number: number) => `night ${number}`,
  importNight: (number: number) => `past night ${number}`,

  learningTitle: 'Learning',
  learning: {
    quicker: (percent: string, nights: number, low: string, high: string) =>
      `About ${percent} % quicker than ${nights} nights ago (between ${low} and ${high} %).`,
    slower: (percent: string, nights: number, low: string, high: string) =>
      `About ${percent} % slower than ${nights} nights ago (between ${low} and ${high} %).`,
    same: (nights: number, slower: string, quicker: string) =>
      `About as quick as ${nights} nights ago: between ${slower} % slower and ${quicker} % quicker.`,
  },
  learningLater: 'After three more nights it can be told how the pace has moved.',

  crashTitle: 'Crashes',
  crashFacts: {
    rate: 'Crashes in 100 laps',
    loss: 'Seconds lost in one',
    lost: 'Time lost to crashes',
  },
  rate: (rate: string, low: string, high: string) => `${rate} (${low} to ${high})`,
  lostInHeat: (seconds: string, laps: number) => `${seconds} s in a heat of ${laps} laps`,
  lostIn100: (seconds: string) => `${seconds} s in 100 laps`,
  crashNote: 'The limits hold in 9 of 10 cases. A lap counts as a crash if it was flagged as one or is far too slow.',

  why: {
    title: (amount: string) => `Why is the delay ${amount}?`,
    titleCredit: (amount: string) => `Why ${amount}?`,
    titleNone: 'Why no delay?',
    where: (meeting: string, heat: string) => `${meeting}, ${heat}`,
    delay: (seconds: string) => `${seconds} s`,
    creditLaps: (laps: string) => `${laps} laps`,
    creditTime: (seconds: string) => `${seconds} s of credit`,
    own: (name: string, lane: number, lap: string, low: string, high: string, rate: string, loss: string) =>
      `On lane ${lane} a clean lap of ${name} takes about ${lap} s (${low} to ${high} s in 9 of 10 heats), and 100 laps hold about ${rate} crashes of ${loss} s each.`,
    other: (name: string, lane: number, lap: string, rate: string, loss: string) =>
      `${name} on lane ${lane}, who gets the most help, takes about ${lap} s a lap, with about ${rate} crashes in 100 laps of ${loss} s each.`,
    selfMost: (name: string) =>
      `Nobody in this heat needs more help than ${name}, so everybody else is measured by that.`,
    nothing: 'So there is nothing to make up for.',
    parts: (total: string, parts: string) => `Put together: ${parts}; that makes ${total}.`,
    sum: (total: string, dial: number, length: string) =>
      `To make up for ${dial} % of that difference in a heat of ${length}, that comes to ${total}.`,
    sumByHand: (total: string) => `The director has laid down ${total} by hand.`,
    pace: (amount: string) => `${amount} for clean pace`,
    crashes: (amount: string) => `${amount} for time lost in crashes`,
    uncertainty: (amount: string) => `${amount} for how steady everybody is`,
    dial: (amount: string) => `${amount} as the club evens out only a part`,
    cap: (amount: string) => `${amount} by the limit`,
    rounding: (amount: string) => `${amount} by rounding`,
    hand: (amount: string) => `${amount} laid down by hand`,
    noFigures: 'The figures it was worked out from are not kept any more.',
    timeLength: (clock: string) => clock,
    lapsLength: (laps: number) => `${laps} laps`,
    more: 'How a handicap is worked out',
    none: 'No heat with a handicap is planned or was run.',
    noneTitle: 'Handicap',
  },
};
