/** Handles of the throttle curve: dragged with a pointer, moved with keys, put back with Escape. */
import { type Changes, type HandleKey, handlePlaces, keyMoved, movedTo, type Place } from './profile-curve.ts';
import { curveFields, numberIn, writeFields } from './profile-fields.ts';

const stage = () => document.getElementById('curve-handles') as unknown as SVGSVGElement | null;
const handleOf = (target: EventTarget | null) =>
  target instanceof Element ? target.closest<SVGGElement>('[data-handle]') : null;

function keyOf(handle: SVGGElement): HandleKey {
  const { handle: name = '' } = handle.dataset;
  return name === 'min' || name === 'max' || name === 'shape' ? name : Number(name);
}

/** The fields that a handle moves. */
function fieldsOf(key: HandleKey): string[] {
  if (key === 'min' || key === 'max') return [`${key}Drive`];
  return key === 'shape' ? ['shape'] : [`point${key}x`, `point${key}y`];
}

const now = (key: HandleKey): Changes => Object.fromEntries(fieldsOf(key).map((name) => [name, numberIn(name)]));

/** Puts every handle where the fields say; those that the curve has not are taken away. */
export function placeHandles(): void {
  const fields = curveFields();
  if (!fields) return;
  const places = handlePlaces(fields);
  for (const handle of stage()?.querySelectorAll<SVGGElement>('[data-handle]') ?? []) {
    const place = places.find(({ key }) => key === keyOf(handle));
    handle.toggleAttribute('hidden', place === undefined);
    if (place) placeHandle(handle, place);
  }
}

function placeHandle(handle: SVGGElement, { trigger, drive }: Place): void {
  for (const circle of handle.querySelectorAll('circle')) {
    circle.setAttribute('cx', `${trigger}%`);
    circle.setAttribute('cy', `${100 - drive}%`);
  }
  const [x, y] = [trigger, drive].map((value) => String(Math.round(value * 10) / 10)) as [string, string];
  handle.setAttribute('aria-valuenow', y);
  const words = handle.dataset.valueWords ?? '';
  handle.setAttribute('aria-valuetext', words.replace('{trigger}', x).replace('{drive}', y));
}

/** Where a pointer is in the picture. */
function placeOf(event: PointerEvent): Place {
  const box = stage()?.getBoundingClientRect() ?? new DOMRect(0, 0, 1, 1);
  return {
    trigger: (100 * (event.clientX - box.left)) / box.width,
    drive: 100 - (100 * (event.clientY - box.top)) / box.height,
  };
}

/** What is held: where its fields were, and how far from its middle it was taken. */
let held: { handle: SVGGElement; key: HandleKey; before: Changes; off: Place } | null = null;
/** What Escape puts back where nothing is held: the fields as they were when the handle got the focus. */
let focused: { key: HandleKey; before: Changes } | null = null;

function take(handle: SVGGElement, event: PointerEvent): void {
  const fields = curveFields();
  const key = keyOf(handle);
  const place = fields && handlePlaces(fields).find((each) => each.key === key);
  if (!place) return;
  const at = placeOf(event);
  const off = { trigger: at.trigger - place.trigger, drive: at.drive - place.drive };
  held = { handle, key, before: now(key), off };
  handle.dataset.held = '';
  handle.setPointerCapture(event.pointerId);
  handle.focus({ preventScroll: true });
}

function drag(event: PointerEvent): boolean {
  const fields = curveFields();
  if (!held || !fields) return false;
  const at = placeOf(event);
  writeFields(movedTo(held.key, { trigger: at.trigger - held.off.trigger, drive: at.drive - held.off.drive }, fields));
  return true;
}

function release(): void {
  if (held) delete held.handle.dataset.held;
  held = null;
}

/** What a key does to the handle that has the focus; false for nothing. */
function press(handle: SVGGElement, pressed: string): boolean {
  const key = keyOf(handle);
  if (pressed === 'Escape') {
    const before = held?.before ?? (focused?.key === key ? focused.before : null);
    release();
    if (before) writeFields(before);
    return before !== null;
  }
  const fields = curveFields();
  const changes = fields && keyMoved(key, pressed, fields);
  if (!changes) return false;
  writeFields(changes);
  return true;
}

/** @param moved called after a handle wrote fields */
export function startHandles(moved: () => void): void {
  const svg = stage();
  if (!svg) return;
  svg.removeAttribute('hidden');
  for (const hint of document.querySelectorAll<HTMLElement>('[data-handles-hint]')) hint.hidden = false;
  placeHandles();
  svg.addEventListener('pointerdown', (event) => {
    const handle = handleOf(event.target);
    if (!handle || event.button !== 0) return;
    event.preventDefault();
    take(handle, event);
  });
  // A finger on a handle holds it; beside it, it scrolls the page. `touch-action` does not reach into a drawing everywhere.
  const hold = (event: TouchEvent) => {
    if (handleOf(event.target)) event.preventDefault();
  };
  svg.addEventListener('touchstart', hold, { passive: false });
  svg.addEventListener('pointermove', (event) => {
    if (drag(event)) moved();
  });
  svg.addEventListener('pointerup', release);
  svg.addEventListener('pointercancel', release);
  svg.addEventListener('focusin', (event) => {
    const handle = handleOf(event.target);
    if (handle) focused = { key: keyOf(handle), before: now(keyOf(handle)) };
  });
  svg.addEventListener('keydown', (event) => {
    const handle = handleOf(event.target);
    if (!handle || event.ctrlKey || event.altKey || event.metaKey || !press(handle, event.key)) return;
    event.preventDefault();
    moved();
  });
}
