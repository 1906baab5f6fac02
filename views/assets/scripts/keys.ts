/** Keyboard and presentation clickers, for those who switched them on: a key clicks the button that names it. */
import { recall, remember } from './device-memory.ts';

const memory = 'keys';
let on = recall(memory) === 'on';

function show(): void {
  document.documentElement.dataset.keys = on ? 'on' : 'off';
  for (const button of document.querySelectorAll<HTMLElement>('[data-keys-switch]')) {
    button.hidden = false;
    button.setAttribute('aria-pressed', String(on));
  }
}

/** Whether the key belongs to what has the focus: somebody types, or the browser itself presses a button. */
function isTaken(event: KeyboardEvent): boolean {
  if (event.ctrlKey || event.altKey || event.metaKey || event.repeat || event.isComposing) return true;
  const target = event.target instanceof HTMLElement ? event.target : null;
  if (target?.closest('input, select, textarea') || target?.isContentEditable) return true;
  return (event.key === ' ' || event.key === 'Enter') && target?.closest('button, a, summary') != null;
}

function keysOf(element: HTMLElement): string[] {
  return (element.dataset.key ?? '').split(' ').filter(Boolean);
}

document.addEventListener('keydown', (event) => {
  if (!on || isTaken(event)) return;
  const key = event.key === ' ' ? 'space' : event.key.toLowerCase();
  const area = document.querySelector('dialog[open]') ?? document;
  for (const element of area.querySelectorAll<HTMLElement>('[data-key]')) {
    if (!keysOf(element).includes(key) || element.matches(':disabled') || element.getClientRects().length === 0)
      continue;
    event.preventDefault();
    element.click();
    return;
  }
});

document.addEventListener('click', (event) => {
  if (!(event.target instanceof Element) || !event.target.closest('[data-keys-switch]')) return;
  on = !on;
  remember(memory, on ? 'on' : 'off');
  show();
});

document.addEventListener('htmx:after:swap', show);
show();
