/** Sliders beside number fields: each follows the other. Only the number is sent. */
import { fieldOf } from './profile-fields.ts';

const sliders = () => document.querySelectorAll<HTMLInputElement>('[data-slider]');

/** Least and most of a slider that goes by ratios, or null for one that goes by differences. */
function ratios(slider: HTMLInputElement): [least: number, most: number] | null {
  const [least, most] = (slider.dataset.log ?? '').split(' ').map(Number);
  return least && most ? [least, most] : null;
}

/** What a slider says, as it is typed. Frequencies are rounded to what a hand can mean. */
function valueOf(slider: HTMLInputElement): string {
  const position = Number(slider.value);
  const ends = ratios(slider);
  if (!ends) return String(position);
  const [least, most] = ends;
  const value = least * (most / least) ** (position / Number(slider.max));
  const step = value < 1000 ? 10 : 50;
  return String(Math.round(value / step) * step);
}

/** Puts a slider where its field's number is. */
function follow(slider: HTMLInputElement): void {
  const text = fieldOf(slider.dataset.slider ?? '')?.value.trim() ?? '';
  const value = Number(text);
  if (text === '' || !Number.isFinite(value)) return;
  const ends = ratios(slider);
  const position = ends ? (Number(slider.max) * Math.log(value / ends[0])) / Math.log(ends[1] / ends[0]) : value;
  if (Number.isFinite(position)) slider.value = String(position);
  slider.setAttribute('aria-valuetext', `${text} ${slider.dataset.unit ?? ''}`.trim());
}

export function followFields(): void {
  for (const slider of sliders()) follow(slider);
}

/** @param moved called after a slider wrote its field */
export function startSliders(moved: () => void): void {
  for (const slider of sliders()) {
    slider.disabled = false;
    follow(slider);
  }
  document.addEventListener('input', (event) => {
    const slider = event.target;
    if (!(slider instanceof HTMLInputElement) || slider.dataset.slider === undefined) return;
    const field = fieldOf(slider.dataset.slider);
    if (!field) return;
    field.value = valueOf(slider);
    slider.setAttribute('aria-valuetext', `${field.value} ${slider.dataset.unit ?? ''}`.trim());
    moved();
  });
}
