/** A strip in which a movement of the trigger is drawn; what is drawn stands in a field as numbers. */
import { fieldOf, formId } from './profile-fields.ts';

/** Three seconds in tenths, both ends. */
const slots = 31;
const tall = 200;
const wide = 1000;

const pad = () => document.querySelector<SVGSVGElement>('.trace-pad');

function positions(): number[] {
  const text = fieldOf('traceTyped')?.value.trim() ?? '';
  const typed = text === '' ? [] : text.split(/[\s,;]+/).map(Number);
  return typed.every(Number.isFinite) ? typed : [];
}

/** Draws what the field says. */
export function drawTrace(): void {
  const line = document.querySelector('[data-trace-line]');
  const shown = positions();
  if (!line || shown.length < 2) return;
  const at = (percent: number, index: number) =>
    `${((wide * index) / (shown.length - 1)).toFixed(1)} ${(tall * (1 - percent / 100)).toFixed(1)}`;
  line.setAttribute('d', `M${shown.map(at).join('L')}`);
}

/** Which tenth of a second the pointer is at, and how far the trigger is pressed there, in whole percent. */
function placeOf(event: PointerEvent, svg: SVGSVGElement): { slot: number; percent: number } {
  const box = svg.getBoundingClientRect();
  const share = (value: number) => Math.min(1, Math.max(0, value));
  return {
    slot: Math.round((slots - 1) * share((event.clientX - box.left) / box.width)),
    percent: Math.round(100 * (1 - share((event.clientY - box.top) / box.height))),
  };
}

/** @param drawn called when a movement is finished */
export function startTrace(drawn: () => void): void {
  const svg = pad();
  const strip = document.querySelector<HTMLElement>('[data-trace-strip]');
  if (!svg || !strip) return;
  strip.hidden = false;
  drawTrace();
  let values: number[] | null = null;
  let last: { slot: number; percent: number } | null = null;

  const draw = (event: PointerEvent) => {
    if (!values) return;
    const here = placeOf(event, svg);
    const from = last ?? here;
    const step = Math.sign(here.slot - from.slot);
    for (let slot = from.slot; ; slot += step) {
      const share = here.slot === from.slot ? 1 : (slot - from.slot) / (here.slot - from.slot);
      values[slot] = Math.round(from.percent + share * (here.percent - from.percent));
      if (slot === here.slot) break;
    }
    last = here;
    const field = fieldOf('traceTyped');
    if (field) field.value = values.join(' ');
    drawTrace();
  };

  svg.addEventListener('pointerdown', (event) => {
    if (event.button !== 0) return;
    event.preventDefault();
    const before = positions();
    values = Array.from({ length: slots }, (_, slot) => before[slot] ?? 0);
    last = null;
    svg.setPointerCapture(event.pointerId);
    draw(event);
  });
  svg.addEventListener('pointermove', draw);
  const finish = () => {
    if (!values) return;
    values = null;
    const choice = document.querySelector<HTMLSelectElement>(`select[name="trace"][form="${formId}"]`);
    if (choice) choice.value = 'own';
    drawn();
  };
  svg.addEventListener('pointerup', finish);
  svg.addEventListener('pointercancel', finish);
}
