/** What the commands say that print figures of a profile: curve, trace, compare. */
const percent = (share: number) => (100 * share).toFixed(1);
const cell = (text: string, width: number) => text.padStart(width);

export const profileFigures = {
  usage: `Usage: lanewise profile curve FILE [--at 0.03,0.5] [--json]
       lanewise profile trace FILE [--json]
       lanewise profile compare A B [--json]

  curve     duty over the trigger, and duty added per bit of trigger, at every 5 % or at the positions of --at
            (0 released, 1 fully pressed); with --json at 201 positions: [{"x","duty","slope"},…]
  trace     FILE holds {"profile":{…},"points":[[ms,x],…]}, straight lines between the points: a row a millisecond
            of what the controller does, ramp and brake included: [{"ms","x","closing","duty","offShort"},…]
  compare   what going from profile A to profile B feels like: {"distance","groups","words"}. Differences are
            measured in amounts that a driver just notices

FILE, A and B may be -, standard input. Profiles are read from a shared file or as the profile alone.
`,
  wrongUse: (reason: string) => `${reason} "lanewise profile curve --help" says what is possible.`,
  oneFile: 'Name one file.',
  twoFiles: 'Name two files.',
  oneStandardInput: 'Only one profile can come from standard input.',
  positions: (most: number) => `"--at" takes up to ${most} positions from 0 to 1, with commas between: 0.03,0.5.`,
  wrongTrace: (source: string) => `${source} holds no trace: {"profile":{…},"points":[[ms,x],…]}.`,
  wrongPoints: (seconds: number, most: number) =>
    `"points" are 2 to ${most} pairs [milliseconds, trigger from 0 to 1], times never falling, ${seconds} s at most.`,

  curveHead: `${cell('trigger %', 9)}${cell('duty %', 9)}${cell('added', 8)}`,
  curveRow: (x: number, duty: number, slope: number) =>
    `${cell(percent(x), 9)}${cell(percent(duty), 9)}${cell(slope.toFixed(2), 8)}`,
  traceHead: `${cell('ms', 8)}${cell('trigger %', 11)}${cell('duty %', 9)}${cell('shorted %', 11)}`,
  traceRow: (row: { ms: number; x: number; closing: boolean; duty: number; offShort: number }) =>
    `${cell(String(row.ms), 8)}${cell(percent(row.x), 11)}${cell(percent(row.duty), 9)}${cell(percent(row.offShort), 11)}${row.closing ? '  closing' : ''}`,

  amounts: 'In amounts that a driver just notices:',
  together: 'All together',
  figure: (label: string, amount: number) => `  ${label.padEnd(24)}${cell(amount.toFixed(1), 6)}`,
};
