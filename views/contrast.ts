/**
 * Contrast by the definitions of "relative luminance" and "contrast ratio" in the Web Content Accessibility Guidelines
 * 2.2 (W3C Recommendation).
 */

/** Light of one channel, 0 to 1, from its stored value, 0 to 255: the inverse of the sRGB transfer function. */
export function linear(channel: number): number {
  const share = channel / 255;
  return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
}

/**
 * Relative luminance, 0 (black) to 1 (white).
 *
 * @param colour `#RRGGBB`
 * @throws RangeError when the colour has another form
 */
export function luminance(colour: string): number {
  const match = /^#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})$/i.exec(colour);
  if (match === null) throw new RangeError(`not a colour of the form #RRGGBB: ${colour}`);
  const [red, green, blue] = match.slice(1).map((digits) => linear(Number.parseInt(digits, 16))) as [
    number,
    number,
    number,
  ];
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

/** Contrast ratio of two colours, 1 to 21, whichever of them is the lighter. */
export function contrast(one: string, other: string): number {
  const a = luminance(one);
  const b = luminance(other);
  return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
}

/** Black or white, whichever reads better on the colour. */
export function inkOn(colour: string): '#000000' | '#FFFFFF' {
  return contrast(colour, '#000000') >= contrast(colour, '#FFFFFF') ? '#000000' : '#FFFFFF';
}
