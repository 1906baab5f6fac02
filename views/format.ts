/**
 * Numbers as people read them. Pure: zone, language and instants come from the caller.
 *
 * Times are cut, not rounded (common practice in timing, no source). Cutting twice is cutting once, so the wall's
 * hundredths are always the first digits of the result's thousandths, and a record is never shown as reached before it
 * is. Differences are cut towards zero; they are formed from the exact times, so their last digit can differ by one from
 * the difference of two shown times.
 */

/** A true minus sign: as wide as the plus, unlike the hyphen. */
const minus = '\u2212';

function whole(value: number, what: string): number {
  if (!Number.isSafeInteger(value)) throw new RangeError(`${what} must be a whole number, got ${value}`);
  return value;
}

function positive(value: number, what: string): number {
  if (whole(value, what) < 0) throw new RangeError(`${what} must not be negative, got ${value}`);
  return value;
}

const two = (value: number) => String(value).padStart(2, '0');

/** Digits after the decimal point of a time in seconds. */
export type Decimals = 0 | 1 | 2 | 3;

/** `12.345`, `1:02.345`, `1:01:02.345`: the parts of a length of time, the largest without leading zero. */
function clockFace(us: number, decimals: Decimals): string {
  const unitUs = 10 ** (6 - decimals);
  const units = Math.floor(us / unitUs);
  const perSecond = 10 ** decimals;
  const seconds = Math.floor(units / perSecond);
  const fraction = decimals === 0 ? '' : `.${String(units % perSecond).padStart(decimals, '0')}`;
  if (seconds < 60) return `${seconds}${fraction}`;
  const minutes = Math.floor(seconds / 60);
  if (minutes < 60) return `${minutes}:${two(seconds % 60)}${fraction}`;
  return `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${two(seconds % 60)}${fraction}`;
}

/**
 * A lap time: `5.123`, `1:02.345`.
 *
 * @param us lap time in microseconds, 0 or more
 * @param decimals 3 (default) on results, 2 on the wall
 * @throws RangeError when `us` is no whole number or negative
 */
export function lapTime(us: number, decimals: Decimals = 3): string {
  return clockFace(positive(us, 'lap time'), decimals);
}

/**
 * A signed difference of two times: `+0.123`, `−1.050`; what the shown digits cannot tell apart is `±0.000`.
 *
 * @param us difference in microseconds
 */
export function timeGap(us: number, decimals: Decimals = 3): string {
  const digits = clockFace(Math.abs(whole(us, 'gap')), decimals);
  const sign = /[1-9]/.test(digits) ? (us < 0 ? minus : '+') : '±';
  return sign + digits;
}

/**
 * Hundredths of a lap: `31.42`.
 *
 * @param hundredths may be negative: adjustments and differences are
 */
export function hundredthsOfLap(hundredths: number): string {
  const size = Math.abs(whole(hundredths, 'hundredths of a lap'));
  return `${hundredths < 0 ? minus : ''}${Math.floor(size / 100)}.${two(size % 100)}`;
}

/** A signed difference in hundredths of a lap: `+1.05`, `−0.30`, `±0.00`. */
export function lapGap(hundredths: number): string {
  const sign = whole(hundredths, 'lap gap') === 0 ? '±' : hundredths < 0 ? minus : '+';
  return sign + hundredthsOfLap(Math.abs(hundredths));
}

/** What a heat is raced for: most laps in a time, or a number of laps in the least time. */
export type ScoreKind = 'time' | 'laps';

/**
 * The score of a heat or a race: `31.42` laps for *time*, `4:05.123` for *laps*.
 *
 * @param score hundredths of a lap for *time*, milliseconds for *laps*; null for a lane that did not finish
 * @param none what stands for null
 */
export function raceScore(kind: ScoreKind, score: number | null, none = '–'): string {
  if (score === null) return none;
  return kind === 'time' ? hundredthsOfLap(score) : clockFace(positive(score, 'score') * 1000, 3);
}

/**
 * What a counting-down clock shows: `2:59`, `0:07`. The begun second counts whole, so that 3:00 stands at the start and
 * 0:00 only when time is up (common practice, no source).
 *
 * @param us microseconds left; less than 0 shows 0:00
 */
export function clockLeft(us: number): string {
  return minutesAndSeconds(Math.ceil(Math.max(0, whole(us, 'time left')) / 1_000_000));
}

/** What a counting-up clock shows: `0:00` at the start, full seconds only. */
export function clockElapsed(us: number): string {
  return minutesAndSeconds(Math.floor(Math.max(0, whole(us, 'time run')) / 1_000_000));
}

function minutesAndSeconds(seconds: number): string {
  const minutes = Math.floor(seconds / 60);
  const rest = two(seconds % 60);
  return minutes < 60 ? `${minutes}:${rest}` : `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${rest}`;
}

/** The length of a heat, as a clock shows it: `3:00`. Parts of a second are shown only where there are some. */
export function heatLength(ms: number): string {
  const rest = positive(ms, 'heat length') % 1000;
  const digits = minutesAndSeconds(Math.floor(ms / 1000));
  return rest === 0 ? digits : `${digits}.${String(rest).padStart(3, '0').replace(/0+$/, '')}`;
}

/** Words for `duration`; views pass those of their language. */
export interface DurationWords {
  hours: (count: number) => string;
  minutes: (count: number) => string;
  seconds: (count: number) => string;
}

/**
 * A length of time in words: "1 h 5 min", "90 s" as "1 min 30 s". Rounded half up to the second, from an hour on to the
 * minute.
 *
 * @param ms 0 or more
 */
export function duration(ms: number, words: DurationWords): string {
  const allSeconds = Math.floor((positive(ms, 'duration') + 500) / 1000);
  if (allSeconds >= 3600) {
    const minutes = Math.floor((allSeconds + 30) / 60);
    const hours = words.hours(Math.floor(minutes / 60));
    return minutes % 60 === 0 ? hours : `${hours} ${words.minutes(minutes % 60)}`;
  }
  const minutes = Math.floor(allSeconds / 60);
  const seconds = allSeconds % 60;
  if (minutes === 0) return words.seconds(seconds);
  return seconds === 0 ? words.minutes(minutes) : `${words.minutes(minutes)} ${words.seconds(seconds)}`;
}

/** A zone as it can be used: an imported meeting may name one that this machine does not know. */
function knownZone(zone: string): string {
  try {
    new Intl.DateTimeFormat('en', { timeZone: zone });
    return zone;
  } catch {
    return 'UTC';
  }
}

const dateFormats = new Map<string, Intl.DateTimeFormat>();

/** Building a format costs far more than using it. */
function dateFormat(locale: string, zone: string, options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const key = JSON.stringify([locale, zone, options]);
  let format = dateFormats.get(key);
  if (format === undefined) {
    format = new Intl.DateTimeFormat(locale, { ...options, timeZone: knownZone(zone) });
    dateFormats.set(key, format);
  }
  return format;
}

/** Where and for whom a date is shown: the club's zone (IANA name; UTC stands for an unknown one) and the language. */
export interface Place {
  zone: string;
  locale: string;
}

/** Time of day: `20:05`. Always of 24 hours. */
export function timeOfDay(at: Date, { zone, locale }: Place): string {
  return dateFormat(locale, zone, { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' }).format(at);
}

/** Time of day with its seconds: `20:05:09`. */
export function timeWithSeconds(at: Date, { zone, locale }: Place): string {
  return dateFormat(locale, zone, {
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
    hourCycle: 'h23',
  }).format(at);
}

/** A date in full: `Friday 13 November 2026` in the order of the language. */
export function longDate(at: Date, { zone, locale }: Place): string {
  return dateFormat(locale, zone, { weekday: 'long', day: 'numeric', month: 'long', year: 'numeric' }).format(at);
}

/** A date for tables: `13 Nov 2026` in the order of the language. */
export function shortDate(at: Date, { zone, locale }: Place): string {
  return dateFormat(locale, zone, { day: 'numeric', month: 'short', year: 'numeric' }).format(at);
}

/** The calendar day in the zone, `2026-11-13`: for `<time datetime>` and date fields. */
export function isoDay(at: Date, zone: string): string {
  const parts = dateFormat('en-US-u-ca-iso8601', zone, { year: 'numeric', month: '2-digit', day: '2-digit' });
  const part = (type: string) => parts.formatToParts(at).find((one) => one.type === type)?.value ?? '';
  return `${part('year').padStart(4, '0')}-${part('month')}-${part('day')}`;
}

const englishPlaces = new Intl.PluralRules('en', { type: 'ordinal' });
const englishSuffix: Readonly<Record<string, string>> = { one: 'st', two: 'nd', few: 'rd', other: 'th' };

/** A place in English: `1st`, `2nd`, `11th`, `23rd`. */
export function ordinal(place: number): string {
  return `${positive(place, 'place')}${englishSuffix[englishPlaces.select(place)]}`;
}

/** A count with its English noun: `1 lap`, `2 laps`, `0 laps`. */
export function plural(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

/** A share in percent, with one decimal where it is needed: `80 %`, `82.5 %`. A no-break space keeps it together. */
export function percent(permille: number): string {
  return `${permille < 0 ? minus : ''}${Math.abs(whole(permille, 'a share')) / 10}\u00a0%`;
}

/** A sentence whose numbers stay with their units where a line breaks: `12 %`, `0.2 s`, `2000 Hz`. */
export function unbroken(sentence: string): string {
  return sentence.replace(/(\d) (?=(?:%|°C|Hz|ms?|mm²?|s|V|A|W|K|J|µF|ohm|points?)(?![\p{L}\d]))/gu, '$1\u00a0');
}
