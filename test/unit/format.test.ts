import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  clockElapsed,
  clockLeft,
  duration,
  heatLength,
  hundredthsOfLap,
  isoDay,
  lapGap,
  lapTime,
  longDate,
  ordinal,
  plural,
  raceScore,
  shortDate,
  timeGap,
  timeOfDay,
  unbroken,
} from '../../views/format.ts';

/** Seconds of a clock face, read back without the code under test. */
function readSeconds(text: string): number {
  return text.split(':').reduce((sum, part) => sum * 60 + Number(part), 0);
}

const anyTimeUs = fc.integer({ min: 0, max: 100 * 3600 * 1_000_000 });

describe('lap times', () => {
  test.each([
    [0, '0.000'],
    [5_123_000, '5.123'],
    [5_123_999, '5.123'],
    [59_999_999, '59.999'],
    [60_000_000, '1:00.000'],
    [62_345_678, '1:02.345'],
    [3_661_000_000, '1:01:01.000'],
  ])('%i µs is %s on a result', (us, text) => expect(lapTime(us)).toBe(text));

  test('the wall shows the first digits of what the result shows', () => {
    fc.assert(fc.property(anyTimeUs, (us) => lapTime(us, 3).startsWith(lapTime(us, 2))));
  });

  test('what is shown is the time itself or less, by less than the last digit', () => {
    fc.assert(
      fc.property(anyTimeUs, fc.constantFrom(0, 1, 2, 3), (us, decimals) => {
        const shownUs = Math.round(readSeconds(lapTime(us, decimals as 0 | 1 | 2 | 3)) * 1_000_000);
        return shownUs <= us && us - shownUs < 10 ** (6 - decimals);
      }),
    );
  });

  test.each([-1, 0.5, Number.NaN, 2 ** 60])('%d is refused', (us) => expect(() => lapTime(us)).toThrow(RangeError));
});

describe('differences', () => {
  test.each([
    [123_456, '+0.123'],
    [-1_050_000, '−1.050'],
    [0, '±0.000'],
    [999, '±0.000'],
    [-999, '±0.000'],
    [-61_000_000, '−1:01.000'],
  ])('%i µs is %s', (us, text) => expect(timeGap(us)).toBe(text));

  test('swapping the two swaps the sign and nothing else', () => {
    fc.assert(
      fc.property(fc.integer(), (us) => {
        const turned = timeGap(-us).replace(/^[+−]/, (sign) => (sign === '+' ? '−' : '+'));
        return timeGap(us) === turned;
      }),
    );
  });

  test.each([
    [105, '+1.05'],
    [-30, '−0.30'],
    [0, '±0.00'],
  ])('%i hundredths of a lap is %s', (hundredths, text) => expect(lapGap(hundredths)).toBe(text));
});

describe('scores', () => {
  test.each([
    [3142, '31.42'],
    [3100, '31.00'],
    [7, '0.07'],
    [-250, '−2.50'],
  ])('%i hundredths is %s laps', (score, text) => expect(hundredthsOfLap(score)).toBe(text));

  test('a time heat counts laps, a laps heat counts time, and who did not finish has no score', () => {
    expect(raceScore('time', 3142)).toBe('31.42');
    expect(raceScore('laps', 245_123)).toBe('4:05.123');
    expect(raceScore('laps', null)).toBe('–');
  });
});

describe('clocks', () => {
  test.each([
    [180_000_000, '3:00'],
    [179_999_999, '3:00'],
    [179_000_000, '2:59'],
    [1, '0:01'],
    [0, '0:00'],
    [-5_000_000, '0:00'],
    [3_600_000_000, '1:00:00'],
  ])('%i µs left shows %s', (us, text) => expect(clockLeft(us)).toBe(text));

  test('left and elapsed always add up to the length, in whole seconds', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 7200 }), fc.nat(7_200_000_000), (seconds, runUs) => {
        const leftUs = seconds * 1_000_000 - runUs;
        fc.pre(leftUs >= 0);
        return readSeconds(clockLeft(leftUs)) + readSeconds(clockElapsed(runUs)) === seconds;
      }),
    );
  });

  test('a heat length shows parts of a second only where there are some', () => {
    expect(heatLength(180_000)).toBe('3:00');
    expect(heatLength(90_500)).toBe('1:30.5');
    expect(heatLength(5_025)).toBe('0:05.025');
  });
});

describe('durations', () => {
  const words = {
    hours: (count: number) => `${count} h`,
    minutes: (count: number) => `${count} min`,
    seconds: (count: number) => `${count} s`,
  };
  test.each([
    [0, '0 s'],
    [499, '0 s'],
    [500, '1 s'],
    [59_499, '59 s'],
    [60_000, '1 min'],
    [90_000, '1 min 30 s'],
    [3_599_500, '1 h'],
    [3_900_000, '1 h 5 min'],
    [7_170_000, '2 h'],
  ])('%i ms is %s', (ms, text) => expect(duration(ms, words)).toBe(text));
});

describe('dates in the zone of the club', () => {
  // 13 November 2026, 23:30 UTC: a Friday; already Saturday east of Greenwich. Day of the week by the perpetual calendar.
  const at = new Date(Date.UTC(2026, 10, 13, 23, 30));

  test.each([
    ['UTC', '23:30', '2026-11-13'],
    ['Europe/Berlin', '00:30', '2026-11-14'],
    ['America/New_York', '18:30', '2026-11-13'],
    ['Asia/Kolkata', '05:00', '2026-11-14'],
    ['Pacific/Chatham', '13:15', '2026-11-14'],
  ])('%s', (zone, time, day) => {
    expect(timeOfDay(at, { zone, locale: 'en' })).toBe(time);
    expect(isoDay(at, zone)).toBe(day);
  });

  test('the language decides the order and the words', () => {
    expect(longDate(at, { zone: 'UTC', locale: 'en-GB' })).toMatch(/^Friday,? 13 November 2026$/);
    expect(longDate(at, { zone: 'UTC', locale: 'de' })).toBe('Freitag, 13. November 2026');
    expect(shortDate(at, { zone: 'Europe/Berlin', locale: 'en-GB' })).toBe('14 Nov 2026');
  });

  test('summer time is in force when the zone says so', () => {
    // Directive 2000/84/EC: summer time begins at 01:00 UTC on the last Sunday of March, 29 March 2026.
    const place = { zone: 'Europe/Berlin', locale: 'en' };
    expect(timeOfDay(new Date(Date.UTC(2026, 2, 29, 0, 59)), place)).toBe('01:59');
    expect(timeOfDay(new Date(Date.UTC(2026, 2, 29, 1, 0)), place)).toBe('03:00');
  });

  test('UTC stands for a zone that this machine does not know: an imported log may name any', () => {
    const utc = timeOfDay(at, { zone: 'UTC', locale: 'en' });
    expect(timeOfDay(at, { zone: 'Moon/Tranquillity', locale: 'en' })).toBe(utc);
  });
});

test.each([
  [1, '1st'],
  [2, '2nd'],
  [3, '3rd'],
  [4, '4th'],
  [11, '11th'],
  [12, '12th'],
  [13, '13th'],
  [21, '21st'],
  [102, '102nd'],
  [111, '111th'],
])('%i is %s', (place, text) => expect(ordinal(place)).toBe(text));

test('a count agrees with its noun', () => {
  expect([0, 1, 2].map((count) => plural(count, 'lap'))).toEqual(['0 laps', '1 lap', '2 laps']);
  expect(plural(2, 'entry', 'entries')).toBe('2 entries');
});

test.each([
  ['Brakes more: 80 % to 100 %.', 'Brakes more: 80\u00a0% to 100\u00a0%.'],
  ['2000 to 800 Hz, 0.2 s instead of at once', '2000 to 800\u00a0Hz, 0.2\u00a0s instead of at once'],
  ['up to +23 points at 50 % trigger', 'up to +23\u00a0points at 50\u00a0% trigger'],
  ['1.31 mm² of copper, 12 settings stay', '1.31\u00a0mm² of copper, 12 settings stay'],
])('numbers of "%s" stay with their units', (sentence, kept) => expect(unbroken(sentence)).toBe(kept));
