const dayMs = 86_400_000;

/** The calendar day in a zone at an instant, `YYYY-MM-DD`. */
export function dayIn(zone: string, atUs: number): string {
  return new Date(wallMs(zone, Math.floor(atUs / 1000))).toISOString().slice(0, 10);
}

/** @param day `YYYY-MM-DD` */
export function daysBefore(day: string, days: number): string {
  return new Date(Date.parse(`${day}T00:00:00Z`) - days * dayMs).toISOString().slice(0, 10);
}

/**
 * The instant of a time of day in a zone, in microseconds. Of a time that the day has twice (clocks set back) either
 * may be meant; one that it has not (clocks set forward) gives a time close by.
 *
 * @param day `YYYY-MM-DD`
 * @param time `HH:MM`
 */
export function instantIn(zone: string, day: string, time: string): number {
  const wanted = Date.parse(`${day}T${time}:00Z`);
  // The zone's distance from UTC at about that instant, then at the instant that it gives.
  const about = wanted - (wallMs(zone, wanted) - wanted);
  return (wanted - (wallMs(zone, about) - about)) * 1000;
}

/** What clocks in a zone show at an instant, as if they stood in UTC: both in milliseconds since 1970. */
function wallMs(zone: string, atMs: number): number {
  const format = new Intl.DateTimeFormat('en-u-ca-iso8601', {
    timeZone: zone,
    hourCycle: 'h23',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
  });
  const parts = new Map(format.formatToParts(atMs).map(({ type, value }) => [type, Number(value)]));
  const part = (type: Intl.DateTimeFormatPartTypes) => parts.get(type) ?? 0;
  return Date.UTC(part('year'), part('month') - 1, part('day'), part('hour'), part('minute'), part('second'));
}
