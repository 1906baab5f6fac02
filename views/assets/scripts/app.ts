/** What every page gets from scripts. The page works without any of it. */
import { startAnnouncing } from './announce.ts';
import { startClocks } from './clock.ts';
import { recall, remember } from './device-memory.ts';
import { startLive } from './live.ts';

/** htmx requests carry the page's token against forged requests, also from regions that are the same for everyone. */
function sendToken(): void {
  document.addEventListener('htmx:config:request', (event) => {
    const token = document.querySelector<HTMLMetaElement>('meta[name="csrf-token"]')?.content;
    const { ctx } = (event as CustomEvent<{ ctx: { request: { headers: Record<string, string> } } }>).detail;
    if (token) ctx.request.headers['x-csrf-token'] = token;
  });
}

/** A form that came back takes the focus to its list of errors; once, or nobody could leave it. */
function keepFocus(): void {
  const focused = new WeakSet<Element>();
  const focus = () => {
    const element = document.querySelector<HTMLElement>('[data-focus]');
    if (!element || focused.has(element)) return;
    focused.add(element);
    element.focus();
  };
  focus();
  document.addEventListener('htmx:after:swap', focus);
}

/** Time zone fields start with the zone of this device. */
function guessZone(): void {
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  for (const field of document.querySelectorAll<HTMLInputElement | HTMLSelectElement>('[data-zone-guess]')) {
    if (field.value !== '') continue;
    field.value = zone;
  }
}

function textOf(element: Element | null): string {
  if (element instanceof HTMLInputElement || element instanceof HTMLTextAreaElement) return element.value;
  return element?.textContent ?? '';
}

/** Copies a text. On plain http there is no clipboard to write to, but a selection can be copied. */
async function copy(text: string): Promise<void> {
  if (navigator.clipboard) return navigator.clipboard.writeText(text);
  const field = document.createElement('textarea');
  field.value = text;
  field.className = 'visually-hidden';
  const focused = document.activeElement;
  document.body.append(field);
  field.select();
  document.execCommand('copy');
  field.remove();
  if (focused instanceof HTMLElement) focused.focus();
}

function offerCopying(): void {
  const reveal = () => {
    for (const button of document.querySelectorAll<HTMLElement>('button[data-copy][hidden]')) button.hidden = false;
  };
  reveal();
  document.addEventListener('htmx:after:swap', reveal);
  document.addEventListener('click', async (event) => {
    const button = event.target instanceof Element ? event.target.closest<HTMLElement>('button[data-copy]') : null;
    if (!button) return;
    await copy(textOf(document.querySelector(button.dataset.copy ?? '')));
    const { copied } = button.dataset;
    if (!copied || button.textContent === copied) return;
    const words = button.textContent;
    button.textContent = copied;
    setTimeout(() => {
      button.textContent = words;
    }, 2_000);
  });
}

/** Choices that belong to the device, not to the club. */
function rememberChoices(): void {
  for (const select of document.querySelectorAll<HTMLSelectElement>('select[data-remember]')) {
    const value = recall(select.dataset.remember ?? '');
    if (value !== null && [...select.options].some((option) => option.value === value)) select.value = value;
    select.addEventListener('change', () => remember(select.dataset.remember ?? '', select.value));
  }
}

sendToken();
rememberChoices();
keepFocus();
guessZone();
offerCopying();
startLive();
startClocks();
startAnnouncing();
