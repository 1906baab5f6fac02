/** Rows of a curve by points: as many as are used, one more on demand. */
import { pointBetween, pointsOn } from './profile-curve.ts';
import { curveKind, fieldOf, filledPoints, numberIn, pointRows } from './profile-fields.ts';

const rowOf = (number: number) => document.querySelector<HTMLElement>(`[data-point="${number}"]`);
const adder = () => document.querySelector<HTMLButtonElement>('[data-point-add]');
const numbers = Array.from({ length: pointRows }, (_, index) => index + 1);

const isEmpty = (number: number) => ['x', 'y'].every((part) => fieldOf(`point${number}${part}`)?.value === '');

function write(number: number, point: { x: number; y: number } | null): void {
  const [x, y] = [fieldOf(`point${number}x`), fieldOf(`point${number}y`)];
  if (x) x.value = point ? String(point.x) : '';
  if (y) y.value = point ? String(point.y) : '';
}

/** Shows the rows that are used. The one with the focus stays, also while it is empty. */
export function showPoints(): void {
  for (const number of numbers) {
    const row = rowOf(number);
    if (row) row.hidden = isEmpty(number) && !row.contains(document.activeElement);
  }
  const more = document.querySelector<HTMLElement>('[data-points-more]');
  if (more) more.hidden = !numbers.some(isEmpty);
}

function choosePoints(): void {
  const radio = document.querySelector<HTMLInputElement>('input[name="curveKind"][value="points"]');
  if (radio) radio.checked = true;
}

/** Whether the points are still those that the page came with. */
const untouched = () =>
  numbers.every((number) =>
    ['x', 'y'].every((part) => {
      const field = fieldOf(`point${number}${part}`);
      return !field || field.value === field.defaultValue;
    }),
  );

/** Points go on from where the number was, while nobody has touched them. */
function goOnFromShape(): void {
  const shape = numberIn('shape');
  if (!untouched() || !Number.isFinite(shape)) return;
  const points = pointsOn(shape);
  for (const number of numbers) write(number, points[number - 1] ?? null);
}

/** @param changed called after rows were written */
export function startPoints(changed: () => void): void {
  showPoints();
  for (const button of document.querySelectorAll<HTMLElement>('[data-point-remove]')) button.hidden = false;
  document.addEventListener('click', (event) => {
    const target = event.target instanceof Element ? event.target : null;
    const remove = target?.closest<HTMLElement>('[data-point-remove]');
    if (remove) {
      write(Number(remove.dataset.pointRemove), null);
      showPoints();
      rowOf(Number(remove.dataset.pointRemove))?.toggleAttribute('hidden', true);
      adder()?.focus();
    } else if (target?.closest('[data-point-add]')) {
      const free = numbers.find(isEmpty);
      const point = pointBetween(filledPoints());
      if (free === undefined || !point) return;
      choosePoints();
      write(free, point);
      showPoints();
      fieldOf(`point${free}x`)?.focus();
    } else return;
    changed();
  });
  document.addEventListener('change', (event) => {
    if (!(event.target instanceof HTMLInputElement) || event.target.name !== 'curveKind') return;
    if (curveKind() === 'points') goOnFromShape();
    showPoints();
    changed();
  });
}
