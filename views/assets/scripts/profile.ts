/**
 * The page on which a profile is edited: sliders, numbers and the handles of the curve say the same, and what they say is
 * drawn by the server while nothing is saved.
 */
import { inForm, profileForm, setSettled } from './profile-fields.ts';
import { placeHandles, startHandles } from './profile-handles.ts';
import { showPoints, startPoints } from './profile-points.ts';
import { followFields, startSliders } from './profile-sliders.ts';
import { drawTrace, startTrace } from './profile-trace.ts';

/** While something is dragged the quick pictures follow at this pace; everything else waits for a pause. */
const dragMs = 60;
const pauseMs = 350;

let dragTimer: ReturnType<typeof setTimeout> | undefined;
let pauseTimer: ReturnType<typeof setTimeout> | undefined;
let lastSent = '';

/** The form as it would be sent. */
function typed(): string {
  const form = profileForm();
  if (!form) return '';
  return new URLSearchParams([...new FormData(form)].map(([name, value]) => [name, String(value)])).toString();
}

/** Asks for pictures of what stands in the form, unless they are there already. htmx keeps one request on its way. */
function ask(settled: boolean): void {
  setSettled(settled);
  const now = typed();
  if (now === lastSent) return;
  lastSent = now;
  document.getElementById('profile-preview')?.dispatchEvent(new CustomEvent('preview'));
}

function askAfterPause(): void {
  clearTimeout(pauseTimer);
  pauseTimer = setTimeout(() => ask(true), pauseMs);
}

function askSoon(): void {
  dragTimer ??= setTimeout(() => {
    dragTimer = undefined;
    ask(false);
  }, dragMs);
  askAfterPause();
}

/** Everything that shows fields in another way. */
function follow(): void {
  followFields();
  placeHandles();
  showPoints();
  drawTrace();
}

/** Fields say themselves that they are wrong, as the sentence under them does. */
function markWrong(): void {
  for (const place of document.querySelectorAll('.live-error')) {
    const field = document.getElementById(place.id.replace(/-live$/, ''));
    if (!field) continue;
    const wrong = place.childElementCount > 0;
    if (wrong) field.setAttribute('aria-invalid', 'true');
    else field.removeAttribute('aria-invalid');
    const ids = (field.getAttribute('aria-describedby') ?? '').split(' ').filter((id) => id && !id.endsWith('-error'));
    if (wrong) ids.push(`${field.id}-error`);
    field.setAttribute('aria-describedby', ids.join(' '));
    field.closest('.field')?.classList.toggle('field-wrong', wrong);
  }
}

/** Back to what was saved: a form that came back with errors shows what was typed, so its own reset is not enough. */
function restoreSaved(): void {
  for (const field of document.querySelectorAll<HTMLInputElement>('[data-saved]'))
    field.value = field.dataset.saved ?? '';
  follow();
  askSoon();
}

const form = profileForm();
if (form) {
  lastSent = typed();
  startSliders(() => {
    placeHandles();
    askSoon();
  });
  startHandles(() => {
    followFields();
    askSoon();
  });
  startPoints(() => {
    follow();
    askSoon();
  });
  startTrace(askSoon);
  document.addEventListener('input', (event) => {
    if (!inForm(event.target)) return;
    follow();
    askAfterPause();
  });
  document.addEventListener('profile:written', follow);
  form.addEventListener('reset', () => setTimeout(restoreSaved));
  document.addEventListener('htmx:after:swap', markWrong);
  // A browser may have kept what was typed before a reload.
  const kept = [...form.elements].some(
    (field) => field instanceof HTMLInputElement && field.type === 'number' && field.value !== field.defaultValue,
  );
  if (kept) {
    lastSent = '';
    follow();
    askSoon();
  }
}
