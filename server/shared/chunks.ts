/** A list cut into pieces of at most `size` items, in order; none for an empty list. */
export function chunks<T>(items: readonly T[], size: number): T[][] {
  const pieces: T[][] = [];
  for (let i = 0; i < items.length; i += size) pieces.push(items.slice(i, i + size));
  return pieces;
}
