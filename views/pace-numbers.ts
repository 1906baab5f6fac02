/** Figures of the pace model as people read them: measured ones, so they are rounded, unlike times of the clock. */

const minus = '\u2212';
/** What stands where there is no figure. */
const none = '–';

/** A figure with so many digits after the point; a minus sign where it rounds to less than 0. */
export function rounded(x: number, digits: number): string {
  if (!Number.isFinite(x)) return none;
  const text = Math.abs(x).toFixed(digits);
  return x < 0 && /[1-9]/.test(text) ? minus + text : text;
}

/** The same with a sign in front, `±` where it rounds to 0. */
export function signed(x: number, digits: number): string {
  if (!Number.isFinite(x)) return none;
  const text = Math.abs(x).toFixed(digits);
  if (!/[1-9]/.test(text)) return `±${text}`;
  return (x < 0 ? minus : '+') + text;
}

/** A share as whole percent: `30 %`. */
export const wholePercent = (share: number): string => `${rounded(100 * share, 0)} %`;

/** The size of a figure without its sign. */
export const sizeOf = (x: number, digits: number): string => rounded(Math.abs(x), digits);
