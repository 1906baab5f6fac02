/** Speeds that are told one by one: round ones up to the fastest, about six. */
export function shownSpeeds(topSpeedMPerS: number): number[] {
  if (!(topSpeedMPerS > 0)) return [];
  const sixth = topSpeedMPerS / 6;
  const digit = 10 ** Math.floor(Math.log10(sixth));
  const apart = Math.max(1, Math.round(sixth / digit));
  const count = Math.floor(topSpeedMPerS / (apart * digit));
  // Whole numbers are multiplied first: 3 * 0.1 is not 0.3.
  return Array.from({ length: count }, (_, k) =>
    digit < 1 ? ((k + 1) * apart) / Math.round(1 / digit) : (k + 1) * apart * digit,
  );
}
