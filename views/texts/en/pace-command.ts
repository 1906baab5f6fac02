/** What each column of a table holds; completes "must be". */
const columnMustBe: Record<string, string> = {
  night: 'a whole number from 0',
  heat: 'a name or number',
  start_s: 'a number of seconds from 0',
  track: 'a name',
  lane: 'a whole number from 1',
  driver: 'a name',
  class: 'a name',
  lap: 'a whole number from 1',
  time_s: 'a number of seconds',
  flag: 'crash, call or empty',
  group: 'junior, adult or empty',
  nights_before: 'a whole number from 0',
};

/** What each key of a field holds; completes "must be". */
const keyMustBe = {
  field: 'a name or a number',
  class: 'the name of a class',
  kind: '"time" or "laps"',
  T: 'seconds above 0, at most 86400, where kind is "time"',
  N: 'a whole number of laps from 1 to 100000 where kind is "laps"',
  track: 'the name of a track',
  drivers: 'a list of 1 to 60 names, each once',
  lanes: 'a list with the lane of each driver, whole numbers from 1, or null where nobody knows',
};

const count = (n: number, one: string, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;
/** Names in a sentence; of many the first ones. */
const list = (names: readonly string[]) =>
  names.length <= 8 ? names.join(', ') : `${names.slice(0, 8).join(', ')} and ${names.length - 8} more`;
const others = (n: number) => (n === 0 ? '' : `, and ${count(n, 'more line')} cannot be read`);
const is = (n: number) => (n === 1 ? 'is' : 'are');
const has = (n: number) => (n === 1 ? 'has' : 'have');
const field = (name: string) => `Field ${name}`;

/** The command that tells pace, delays and chances from a table of laps. */
export const pace = {
  usage: `Usage: lanewise pace --laps FILE [options]          (- reads standard input)

Tells from counted laps how quick every driver is, how often each crashes and
what the lanes give, and for fields to come the start delays that give everybody
the same chance.

  --laps FILE      CSV with the columns night, heat, start_s, track, lane, driver,
                   class, lap, time_s, flag (crash, call or empty)
  --drivers FILE   CSV with the columns driver, group (junior, adult or empty)
                   and, if wanted, nights_before: nights attended before these laps
  --fields FILE    JSON {"fields":[{"field":"A","class":"GT","kind":"time","T":150,
                   "drivers":["Ann","Bob"],"lanes":[1,2]}]}: kind "time" with T
                   seconds or "laps" with N laps; without lanes all lanes are alike;
                   "track" where the laps are of several
  --seed N         another seed draws other chances, the same the same (1)
  --json           one JSON document instead of text
  --help           this text
`,
  wrongUse: (reason: string) => `${reason}. "lanewise pace --help" lists the options.`,
  noLaps: 'Name a table of laps with --laps',
  seed: '--seed must be a whole number from 0 to 4294967295',
  oneStandardInput: 'Only one of the files can be standard input',
  standardInput: 'Standard input',
  progress: (percent: number) => `Fitting: ${percent} %`,

  noFile: (file: string) => `There is no file ${file}.`,
  cannotRead: (file: string, reason: string) => `Cannot read ${file}: ${reason}.`,
  columnsMissing: (file: string, line: number, columns: readonly string[], all: readonly string[]) =>
    `${file}, line ${line}: ${columns.length === 1 ? 'the column' : 'the columns'} ${columns.join(', ')} ${is(columns.length)} missing; the first line must name ${all.join(',')}.`,
  wrongColumn: (file: string, line: number, column: string, value: string, more: number) =>
    `${file}, line ${line}: ${column} must be ${columnMustBe[column]}, not "${value}"${others(more)}.`,
  driverTwice: (file: string, line: number, driver: string, more: number) =>
    `${file}, line ${line}: the driver "${driver}" stands there a second time${others(more)}.`,
  notJson: (file: string, line: number | null) =>
    `${file}${line === null ? '' : `, line ${line}`}: this is no JSON document.`,
  notFields: (file: string) => `${file}: there must be one JSON object {"fields":[…]}.`,
  notAField: (file: string, number: number) => `${file}, field ${number}: a field must be a JSON object.`,
  wrongKey: (file: string, number: number, key: string) =>
    `${file}, field ${number}: ${key} must be ${keyMustBe[key as keyof typeof keyMustBe]}.`,
  seats: (file: string, number: number, drivers: number, lanes: number) =>
    `${file}, field ${number}: there ${is(drivers)} ${count(drivers, 'driver')} but ${count(lanes, 'lane')}.`,
  whichClass: (file: string, number: number, classes: readonly string[]) =>
    `${file}, field ${number}: class must be named, as the laps are of several: ${list(classes)}.`,

  notes: {
    noTimes: (file: string, laps: number, line: number) =>
      `${file}: ${count(laps, 'lap')} ${has(laps)} no time above 0 and ${is(laps)} left out, the first in line ${line}.`,
    noLapTimes: (file: string, laps: number) =>
      `${file}: ${count(laps, 'lap')} took longer or shorter than a slot car drives (0.1 s to 20 minutes) and ${is(laps)} left out.`,
    noHistory: (file: string) =>
      `${file}: there is no lap that shows pace, so nothing is known of drivers and lanes; all drivers are taken to be alike.`,
    noClass: (carClass: string) => `No lap in class ${carClass} shows pace, so there are no figures of it.`,
    noGroups: (drivers: readonly string[]) =>
      `Of ${list(drivers)} nobody said junior or adult; ${drivers.length === 1 ? 'this driver is' : 'they are'} taken for a mixture of both.`,
    unusedKey: (number: number, key: string) => `Field ${number}: the key "${key}" means nothing and is passed over.`,
    newcomers: (name: string, drivers: readonly string[]) =>
      `${field(name)}: ${list(drivers)} ${has(drivers.length)} no laps that show pace and ${is(drivers.length)} taken for ${drivers.length === 1 ? 'an average newcomer' : 'average newcomers'}.`,
    unknownClass: (name: string, carClass: string) =>
      `${field(name)}: there are no laps in class ${carClass}; the mean of the others is taken.`,
    unknownTrack: (name: string, track: string) =>
      `${field(name)}: there are no laps on track ${track}; its lanes are taken to be alike.`,
    unknownLanes: (name: string, track: string, lanes: readonly number[]) =>
      `${field(name)}: there are no laps on ${lanes.length === 1 ? 'lane' : 'lanes'} ${lanes.join(', ')} of track ${track}; ${lanes.length === 1 ? 'it is' : 'they are'} taken to be as quick as the mean.`,
  },

  pace: 'Pace: a clean lap at the next night each driver attends, limits that hold 90 %,\nand how often a driver crashes and what one crash costs.',
  noPace: 'There are no laps to tell pace from.',
  paceColumns: ['Driver', 'Class', 'Lap s', '90 % limits', 'To field', 'Crash/100', 'Lost s'],
  limits: (low: string, high: string) => `${low} to ${high}`,
  percent: (value: string) => `${value} %`,
  lanes: 'Lanes: how much longer a lap takes than on the mean of the track.',
  laneColumns: ['Track', 'Lane', 'Effect', '90 % limits'],
  time: (seconds: string) => `${seconds} s`,
  laps: (laps: number) => count(laps, 'lap'),
  field: (name: string, length: string, carClass: string) => `Field ${name}: ${length}, ${carClass}`,
  fieldColumns: ['Driver', 'Lane', 'Delay s', 'Wins before', 'Wins after'],
  noLane: '-',
};
