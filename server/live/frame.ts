/** How frames and events look on the wire (WHATWG HTML, "Server-sent events"). */

/** Any of the three line ends the format knows; within data each line needs its own field. */
const lineEnd = /\r\n|\r|\n/;

function dataLines(data: string): string {
  return data
    .split(lineEnd)
    .map((line) => `data: ${line}\n`)
    .join('');
}

/**
 * A frame: an unnamed message, which htmx swaps. Without an id, because every frame is whole and nothing is ever
 * replayed.
 *
 * @param html regions of the page, each in its `<hx-partial>`
 */
export function encodeFrame(html: string): string {
  return `${dataLines(html)}\n`;
}

/**
 * A named event, which htmx hands to the page's scripts and never swaps.
 *
 * @param name one word
 * @param retryMs how long the browser waits before it connects again; counts only in a message that has data
 */
export function encodeEvent(name: string, data: string, retryMs?: number): string {
  const retry = retryMs === undefined ? '' : `retry: ${retryMs}\n`;
  return `event: ${name}\n${retry}${dataLines(data)}\n`;
}
