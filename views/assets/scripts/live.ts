/** The page's one stream: whether it lives, and the server's time that it brings. */
import { ServerTime } from './server-time.ts';

/** The server says something at least every 5 s. One beat missed is worth a word, two and a half are worth a new line. */
const lateMs = 7_500;
const deadMs = 12_500;
/** Answers that asking again will not change: not signed in, not allowed, not there. */
const final = new Set([401, 403, 404]);

export const serverTime = new ServerTime();

/** What the extension keeps of a connection, as far as it is used here. */
type Connection = { reader: ReadableStreamDefaultReader | null; attempt: number };
type StreamElement = HTMLElement & { _htmx?: { sse?: Connection } };

let heardMs = performance.now();
let live = false;

const stream = () => document.querySelector<StreamElement>('[hx-sse\\:connect]');

/** Writes the state of the connection in words. */
function show(state: 'live' | 'late' | 'ended'): void {
  live = state === 'live';
  const seconds = Math.round((performance.now() - heardMs) / 1000);
  for (const element of document.querySelectorAll<HTMLElement>('[data-live-state]')) {
    const { wordLive = '', wordLate = '', wordEnded = '' } = element.dataset;
    const text = { live: wordLive, late: wordLate.replace('{n}', String(seconds)), ended: wordEnded }[state];
    if (element.textContent !== text) element.textContent = text;
    element.dataset.liveState = state;
  }
}

/** No more frames: the element goes, and with it everything that would ask again. */
function end(): void {
  const element = stream();
  if (!element) return;
  element._htmx?.sse?.reader?.cancel();
  element.remove();
  show('ended');
}

function watch(): void {
  const element = stream();
  if (!element) return;
  const silentMs = performance.now() - heardMs;
  if (silentMs > lateMs || !live) show('late');
  // The extension waits on a line that has gone dead for as long as the browser does.
  if (silentMs > deadMs) element._htmx?.sse?.reader?.cancel();
}

/** Watches the stream of the page, if it has one. */
export function startLive(): void {
  if (!stream()) return;
  const lost = () => {
    if (stream()) show('late');
  };
  document.addEventListener('htmx:sse:before:message', () => {
    heardMs = performance.now();
    show('live');
  });
  document.addEventListener('htmx:sse:after:connection', () => serverTime.forget());
  document.addEventListener('htmx:sse:before:connection', (event) => {
    if ((event as CustomEvent<{ connection: Connection }>).detail.connection.attempt > 0) lost();
  });
  document.addEventListener('htmx:sse:close', lost);
  document.addEventListener('htmx:sse:error', (event) => {
    const { status } = (event as CustomEvent<{ status?: number }>).detail;
    if (status !== undefined && final.has(status)) end();
    else lost();
  });
  // The first connection is an ordinary request, and fails like one.
  document.addEventListener('htmx:before:response', (event) => {
    const { ctx } = (event as CustomEvent<{ ctx: { sourceElement: Element; response: { status: number } } }>).detail;
    if (ctx.sourceElement === stream() && final.has(ctx.response.status)) end();
  });
  document.addEventListener('beat', (event) => {
    const { data } = (event as CustomEvent<{ data: string }>).detail;
    serverTime.hear(Number(data), performance.now());
  });
  document.addEventListener('bye', end);
  // Timers sleep with the page; what they missed is looked at as soon as it is seen again.
  document.addEventListener('visibilitychange', () => {
    if (!document.hidden) watch();
  });
  setInterval(watch, 1_000);
}
