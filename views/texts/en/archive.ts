/** What is wrong with a line of a meeting log. `what` is the key, name or number concerned, or empty. */
const reasons = {
  'not-utf-8': () => 'its text is not UTF-8',
  'not-json': () => 'it is not one whole JSON object',
  'key-twice': (what: string) => `the key "${what}" stands twice in one object`,
  'number-not-integer': (what: string) => `${what} is not a whole number`,
  'number-too-large': (what: string) => `${what} is too large a number`,
  'not-an-object': () => 'it is not a JSON object',
  'unknown-type': (what: string) => (what === '' ? 'its "type" is no text' : `"${what}" is no type of line`),
  'unknown-key': (what: string) => `the key "${what}" does not belong there`,
  'missing-key': (what: string) => `the key "${what}" is missing`,
  'wrong-kind': (what: string) => `the value of "${what}" is of the wrong kind`,
  'unknown-word': (what: string) => `"${what}" is none of the words or numbers allowed there`,
  'out-of-range': (what: string) => `the value of "${what}" is out of range`,
  'unknown-version': (what: string) => `version ${what} of the log is not known`,
  'no-such-date': (what: string) => `"${what}" is no date of the form YYYY-MM-DD`,
  'endless-heat': () => 'a time race needs a duration, a number of laps that ends it, or both',
  'meeting-not-first': () => 'a log begins with its meeting',
  'meeting-twice': () => 'the meeting is already there',
  'track-missing': () => 'the track is missing before it',
  'track-twice': () => 'the track is already there',
  'id-twice': (what: string) => `the id "${what}" is already taken`,
  'lane-twice': (what: string) => `lane ${what} stands twice`,
  'entry-twice': (what: string) => `entry "${what}" is on two lanes`,
  'no-such-driver': (what: string) => `there is no driver "${what}" before it`,
  'no-such-race': (what: string) => `there is no race "${what}" before it`,
  'no-such-entry': (what: string) => `there is no entry "${what}" before it`,
  'no-such-heat': (what: string) => `there is no heat "${what}" before it`,
  'no-such-device': (what: string) => `there is no device "${what}" before it`,
  'no-such-lane': (what: string) => (what === '' ? 'the track has no such lane' : `the track has no lane ${what}`),
  'heat-of-another-race': (what: string) => `heat "${what}" is one of another race`,
  'entry-of-another-race': (what: string) =>
    what === '' ? 'the entry is not one of this race' : `entry "${what}" is one of another race`,
  'entry-not-in-heat': () => 'the entry does not drive in this heat',
  'lane-without-entry': () => 'nobody drives on that lane in this heat',
  'no-such-crossing': () => 'this heat has no such crossing before it',
  'no-such-ruling': () => 'this heat has no such ruling before it',
  'part-in-a-laps-heat': () => 'part laps belong to time heats only',
  'value-out-of-range': () => 'the value of the ruling is out of range',
  'crossing-differs': (what: string) => `crossing ${what} is already there with other content`,
  'number-out-of-turn': (what: string) => `number ${what} is not the next one of its heat`,
  'instants-fall': () => 'it is earlier than the event before it',
  'too-many-heats': (what: string) => `with it entry "${what}" has started more heats than its race allows`,
};

export type LogRefusalWord = keyof typeof reasons;

export const archiveTexts = {
  /** Why a log is refused: the first bad line and what is wrong with it. */
  refused(line: number, code: LogRefusalWord, what: string): string {
    return `Line ${line}: ${reasons[code](what)}. Nothing was taken from the log.`;
  },
};
