/** Reads out little: a digest at most every 5 s, an alert once. */

const leastGapMs = 5_000;
/** From silence to everything; a digest names the choice from which on it is read out. */
const choices = ['off', 'events', 'mine', 'all'];

let saidMs = Number.NEGATIVE_INFINITY;
let saidDigest = '';
let timer: ReturnType<typeof setTimeout> | undefined;
const saidAlerts = new Set<string>();

function choice(): number {
  const select = document.querySelector<HTMLSelectElement>('select[data-remember="announce"]');
  const place = choices.indexOf(select?.value ?? 'all');
  return place < 0 ? choices.length - 1 : place;
}

function digest(): string {
  const level = choice();
  return [...document.querySelectorAll<HTMLElement>('[data-digest]')]
    .filter((element) => level >= Math.max(1, choices.indexOf(element.dataset.digestFor ?? 'all')))
    .map((element) => element.textContent?.trim() ?? '')
    .filter(Boolean)
    .join(' ');
}

function sayDigest(): void {
  timer = undefined;
  const text = digest();
  const status = document.getElementById('status');
  if (!status || text === '' || text === saidDigest) return;
  saidMs = performance.now();
  saidDigest = text;
  status.textContent = text;
}

function sayAlerts(): void {
  const alert = document.getElementById('alert');
  for (const element of document.querySelectorAll<HTMLElement>('[data-alert]')) {
    const key = element.dataset.alert ?? '';
    if (key === '' || saidAlerts.has(key)) continue;
    saidAlerts.add(key);
    if (alert && choice() > 0) alert.textContent = element.textContent?.trim() ?? '';
  }
}

/** Begins to read out what frames bring; what stood there when the page came is read as part of the page. */
export function startAnnouncing(): void {
  saidDigest = digest();
  for (const element of document.querySelectorAll<HTMLElement>('[data-alert]')) {
    saidAlerts.add(element.dataset.alert ?? '');
  }
  document.addEventListener('htmx:after:swap', () => {
    sayAlerts();
    timer ??= setTimeout(sayDigest, Math.max(0, saidMs + leastGapMs - performance.now()));
  });
}
