/** What a clock shows, computed from one reading and the time that has passed since: never by counting ticks. */

/** A reading as `data-clock` holds it; see `clockData` of the clock's component. All in microseconds. */
export type Reading = {
  atUs: number;
  leftUs: number | null;
  elapsedUs: number;
  totalUs: number | null;
  running: boolean;
};

/** The reading of an attribute; null for anything else. */
export function readReading(attribute: string): Reading | null {
  try {
    const reading = JSON.parse(attribute) as Reading;
    return typeof reading.atUs === 'number' && typeof reading.elapsedUs === 'number' ? reading : null;
  } catch {
    return null;
  }
}

/** The reading as it is at another instant of the server's time. */
export function readingAt(reading: Reading, nowUs: number): Reading {
  if (!reading.running) return reading;
  // A clock shows the time that was: not that of an instant before it was read.
  const pastUs = Math.max(0, nowUs - reading.atUs);
  return {
    ...reading,
    atUs: nowUs,
    leftUs: reading.leftUs === null ? null : Math.max(0, reading.leftUs - pastUs),
    elapsedUs: reading.elapsedUs + pastUs,
  };
}

/** The digits of a reading, as the server writes them: what is left with its begun second whole, what has run cut. */
export function digitsOf({ leftUs, elapsedUs }: Reading): string {
  const seconds = leftUs === null ? Math.floor(elapsedUs / 1_000_000) : Math.ceil(leftUs / 1_000_000);
  const whole = Math.max(0, seconds);
  const two = (value: number) => String(value).padStart(2, '0');
  const minutes = Math.floor(whole / 60);
  const rest = two(whole % 60);
  return minutes < 60 ? `${minutes}:${rest}` : `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${rest}`;
}
