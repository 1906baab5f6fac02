/** The fields of the profile's form, found when they are needed. */
import type { Changes, CurveFields, CurvePointField } from './profile-curve.ts';

export const formId = 'profile-form';
/** Rows for points. */
export const pointRows = 7;

export type Field = HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement;

export const profileForm = () => document.getElementById(formId) as HTMLFormElement | null;

export function fieldOf(name: string): HTMLInputElement | null {
  const found = profileForm()?.elements.namedItem(name);
  return found instanceof HTMLInputElement ? found : null;
}

/** Whether something belongs to the form, wherever it stands in the page. */
export function inForm(target: EventTarget | null): target is Field {
  const isField =
    target instanceof HTMLInputElement || target instanceof HTMLSelectElement || target instanceof HTMLTextAreaElement;
  return isField && target.form?.id === formId && target.name !== '';
}

/** The number in a field; NaN for anything else. */
export function numberIn(name: string): number {
  const text = fieldOf(name)?.value.trim() ?? '';
  return text === '' ? Number.NaN : Number(text);
}

/** Writes fields as if they had been typed, so that everything else follows. */
export function writeFields(changes: Changes): void {
  for (const [name, value] of Object.entries(changes)) {
    const field = fieldOf(name);
    if (!field || field.value === String(value)) continue;
    field.value = String(value);
    field.dispatchEvent(new CustomEvent('profile:written', { bubbles: true }));
  }
}

/** Says whether somebody is in the middle of a movement: then only the quick pictures are asked for. */
export function setSettled(settled: boolean): void {
  const field = fieldOf('settled');
  if (field) field.value = settled ? '1' : '';
}

export function curveKind(): 'shape' | 'points' {
  const chosen = profileForm()?.elements.namedItem('curveKind');
  return chosen instanceof RadioNodeList && chosen.value === 'points' ? 'points' : 'shape';
}

/** The rows of points that hold two numbers. */
export function filledPoints(): CurvePointField[] {
  return Array.from({ length: pointRows }, (_, index) => index + 1)
    .map((number) => ({ number, x: numberIn(`point${number}x`), y: numberIn(`point${number}y`) }))
    .filter(({ x, y }) => Number.isFinite(x) && Number.isFinite(y));
}

/** What the fields say of the curve; null while one of them holds no number. */
export function curveFields(): CurveFields | null {
  const [minDrive, maxDrive, releaseBand] = [numberIn('minDrive'), numberIn('maxDrive'), numberIn('releaseBand')];
  const kind = curveKind();
  const shape = kind === 'shape' ? numberIn('shape') : 0;
  const right = [minDrive, maxDrive, releaseBand, shape].every(Number.isFinite) && maxDrive > minDrive;
  return right ? { minDrive, maxDrive, releaseBand, kind, shape, points: filledPoints() } : null;
}
