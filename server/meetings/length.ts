/** The shortest and longest heat that a form accepts, in milliseconds. */
export const lengthLimitsMs = { min: 5_000, max: 24 * 3_600_000 } as const;

/**
 * A length of time as people type it: seconds (`90`, `90.5`), minutes and seconds (`3:00`) or hours, minutes and
 * seconds (`1:00:00`); a comma may stand for the point.
 *
 * @returns milliseconds; null for anything else, also for `1:75`
 */
export function readLength(typed: string): number | null {
  const match = /^(?:(?:(\d{1,2}):)?(\d{1,4}):)?(\d{1,5})(?:[.,](\d{1,3}))?$/.exec(typed.trim());
  if (!match) return null;
  const [, hours, minutes, seconds, fraction = ''] = match;
  if (minutes !== undefined && (Number(seconds) > 59 || seconds?.length !== 2)) return null;
  if (hours !== undefined && Number(minutes) > 59) return null;
  const whole = Number(hours ?? 0) * 3600 + Number(minutes ?? 0) * 60 + Number(seconds);
  return whole * 1000 + Number(fraction.padEnd(3, '0'));
}
