/** The command that knows controller profiles. */
export const profileCommand = {
  usage: `Usage: lanewise profile WORD …                          (FILE may be -, standard input)

  check FILE                    reads a profile and says what is wrong with it
  code FILE                     its short code
  read CODE                     the profile of a short code
  curve FILE [--at 0.03,0.5]    duty and slope over the trigger
  convert FILE --unit UNIT      moves it to a controller unit's limits
  trace FILE                    duty and brake over a trigger trace, a row a millisecond
  compare A B                   how different two profiles feel
  calibrate FILE                checks readings of a trigger
  motor FILE                    what a motor and car do with a profile

  --json     one JSON document instead of text
  --help     this text
`,
  unknown: (word: string) => `There is no "lanewise profile ${word}".\n"lanewise profile --help" says what there is.\n`,
  wrongUse: (reason: string) => `${reason}\n"lanewise profile --help" says what is possible.`,
  oneFile: 'Name one file.',
  twoFiles: 'Name two files.',
  oneCode: 'Name one code.',
  notJson: (source: string) => `${source} holds no JSON.`,
};
