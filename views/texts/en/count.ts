/** The command that counts a meeting log. */
export const count = {
  usage: `Usage: lanewise count FILE [--json] [--detail]          (- reads standard input)

Counts a meeting log and prints the result of every race.

  --json     one JSON document instead of text
  --detail   JSON with every heat too: verdicts, laps, false starts, warnings
  --help     this text
`,
  oneFile: 'Name one meeting log to count.',
  wrongUse: (reason: string) => `${reason}\n"lanewise count --help" says what is possible.`,
  noRaces: 'The meeting has no races.',
  heading: (race: string, carClass: string, provisional: boolean) =>
    `${race} (${carClass})${provisional ? ', provisional' : ''}`,
  noEntries: 'No entries.',
  columns: {
    place: 'Place',
    nickname: 'Driver',
    score: { time: 'Score (laps)', laps: 'Time' },
    laps: 'Laps',
    fastest: 'Fastest lap',
    heats: 'Heats',
    notes: '',
  },
  none: '–',
  filledByMean: (heats: number) => `${heats} filled by the mean`,
  excluded: 'excluded',
};
