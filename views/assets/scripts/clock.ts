/** Moves every clock on the page between two frames. */
import { digitsOf, type Reading, readingAt, readReading } from './clock-reading.ts';
import { serverTime } from './live.ts';

const tickMs = 100;

/** The page's own time at which a reading was first seen: stands in for the server's time until that is known. */
const seen = new Map<string, number>();
/** More readings than any page has clocks. */
const mostSeen = 200;

function nowFor(reading: Reading, attribute: string): number {
  const nowMs = performance.now();
  const serverUs = serverTime.at(nowMs);
  if (serverUs !== null) return serverUs;
  if (seen.size > mostSeen) seen.clear();
  const seenMs = seen.get(attribute) ?? nowMs;
  seen.set(attribute, seenMs);
  return reading.atUs + (nowMs - seenMs) * 1000;
}

function move(element: Element): void {
  const attribute = element.getAttribute('data-clock') ?? '';
  const reading = readReading(attribute);
  if (!reading) return;
  const now = readingAt(reading, nowFor(reading, attribute));
  const digits = element.querySelector('[data-clock-digits]');
  const text = digitsOf(now);
  if (digits && digits.textContent !== text) digits.textContent = text;
  const bar = element.querySelector('[data-clock-bar]');
  if (bar instanceof HTMLProgressElement && now.leftUs !== null) bar.value = now.leftUs;
}

function moveAll(): void {
  for (const element of document.querySelectorAll('[data-clock]')) move(element);
}

/** Begins to move the clocks. */
export function startClocks(): void {
  setInterval(moveAll, tickMs);
  // A frame carries the digits of the moment it was made; they are put right before anybody sees them.
  document.addEventListener('htmx:after:swap', moveAll);
  moveAll();
}
