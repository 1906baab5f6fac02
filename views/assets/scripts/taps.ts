/** The timekeeper's lane buttons: a press is timed and kept at once, and sent until the server has it. */
import { answeredSeqs, type Boot, TapQueue } from './tap-queue.ts';

const timeoutMs = 5_000;
const firstWaitMs = 500;
const longestWaitMs = 10_000;
/** Taps in one request. */
const most = 100;
const shownMs = 150;
/** A click comes right after its pointer was lifted. */
const clickWithinMs = 100;

const nowUs = () => Math.round(performance.now() * 1000);

function storage(): Storage | null {
  try {
    return window.localStorage;
  } catch {
    return null;
  }
}

function newBoot(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(8));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

function startTaps(form: HTMLFormElement): void {
  const action = form.getAttribute('action') ?? '';
  const place = `${action} ${form.dataset.tapsDevice ?? ''}`;
  const queue = new TapQueue(place, newBoot(), performance.timeOrigin, storage());
  const counts = new Map<string, number>();
  let sending = false;
  let waitMs = firstWaitMs;
  let leastRttUs: number | null = null;
  let retry: ReturnType<typeof setTimeout> | undefined;

  function showUnsent(): void {
    for (const element of document.querySelectorAll<HTMLElement>('[data-taps-state]')) {
      const { tapsOne = '{n}', tapsMany = '{n}' } = element.dataset;
      element.hidden = queue.size === 0;
      element.textContent = (queue.size === 1 ? tapsOne : tapsMany).replace('{n}', String(queue.size));
    }
  }

  /** The time on a boot's own clock: that of an earlier page load is known by the wall clock only. */
  function sentUs({ boot, originMs }: Boot): number {
    return boot === queue.own.boot ? nowUs() : Math.round((Date.now() - originMs) * 1000);
  }

  async function send(boot: Boot): Promise<void> {
    const token = document.querySelector<HTMLMetaElement>('meta[name="csrf-token"]')?.content ?? '';
    const rtt = leastRttUs === null ? {} : { rtt_us: leastRttUs };
    const body = { boot: boot.boot, sent_us: sentUs(boot), ...rtt, crossings: boot.taps.slice(0, most) };
    const sentAt = nowUs();
    const response = await fetch(action, {
      method: 'POST',
      headers: { 'content-type': 'application/json', accept: 'application/json', 'x-csrf-token': token },
      body: JSON.stringify(body),
      signal: AbortSignal.timeout(timeoutMs),
    });
    if (!response.ok) throw new Error(`status ${response.status}`);
    const answer: unknown = await response.json();
    leastRttUs = Math.min(leastRttUs ?? Number.POSITIVE_INFINITY, nowUs() - sentAt);
    const seqs = answeredSeqs(answer);
    if (seqs.size === 0) throw new Error('nothing answered');
    queue.answered(boot, seqs);
  }

  async function sendAll(): Promise<void> {
    if (sending) return;
    sending = true;
    clearTimeout(retry);
    try {
      for (let [boot] = queue.boots(); boot; [boot] = queue.boots()) {
        await send(boot);
        waitMs = firstWaitMs;
        showUnsent();
      }
    } catch {
      // Kept, and tried again; what is unsent is on the screen.
      retry = setTimeout(sendAll, waitMs);
      waitMs = Math.min(waitMs * 2, longestWaitMs);
    } finally {
      sending = false;
    }
  }

  function tap(button: HTMLElement, atMs: number): void {
    const lane = button.dataset.tapLane ?? '';
    queue.add(Number(lane), Math.round(atMs * 1000));
    counts.set(lane, (counts.get(lane) ?? 0) + 1);
    for (const element of document.querySelectorAll(`[data-taps-lane-count="${CSS.escape(lane)}"]`)) {
      element.textContent = String(counts.get(lane));
    }
    button.dataset.tapped = '';
    setTimeout(() => delete button.dataset.tapped, shownMs);
    navigator.vibrate?.(20);
    showUnsent();
    void sendAll();
  }

  const buttonOf = (event: Event) =>
    event.target instanceof Element ? event.target.closest<HTMLButtonElement>('[data-tap-lane]:enabled') : null;
  /** Lanes under a finger: their clicks are the presses that were counted already. */
  const pressed = new Set<string>();
  const laneOf = (button: HTMLElement) => button.dataset.tapLane ?? '';
  // Timing is what the press is for: it counts when the finger comes down, not when it leaves.
  form.addEventListener('pointerdown', (event) => {
    const button = buttonOf(event);
    if (!button || event.button !== 0) return;
    pressed.add(laneOf(button));
    tap(button, event.timeStamp);
  });
  for (const kind of ['pointerup', 'pointercancel'] as const) {
    document.addEventListener(kind, (event) => {
      const button = buttonOf(event);
      if (button) setTimeout(() => pressed.delete(laneOf(button)), clickWithinMs);
    });
  }
  form.addEventListener('click', (event) => {
    const button = buttonOf(event);
    if (!button) return;
    event.preventDefault();
    // `detail` counts the presses of a pointer; a key, or a reading aid, has none.
    if (event.detail === 0 || !pressed.delete(laneOf(button))) tap(button, event.timeStamp);
  });
  form.addEventListener('submit', (event) => event.preventDefault());
  window.addEventListener('online', () => void sendAll());
  document.addEventListener('visibilitychange', () => {
    if (!document.hidden) void sendAll();
  });
  showUnsent();
  void sendAll();
}

for (const form of document.querySelectorAll<HTMLFormElement>('form[data-taps]')) startTaps(form);
