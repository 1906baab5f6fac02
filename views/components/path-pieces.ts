/** The part of a path that runs through one row of a grid. Across, a lane is 1 wide; down, the row is 1 high. */
export interface PathPiece {
  /** From the upper edge to the middle of the row; null where the path begins here. */
  readonly upper: PathHalf | null;
  /** From the middle to the lower edge; null where the path ends here. */
  readonly lower: PathHalf | null;
}

export interface PathHalf {
  readonly fromX: number;
  readonly toX: number;
  /** Part of a stretch with rows between its ends. */
  readonly rests: boolean;
}

/**
 * Straight lines from one stop to the next, cut at the edges of the rows they cross, so that rows may differ in height.
 *
 * @param stops one a row: the lane's place from 0, or null where the path does not stop
 * @returns one a row; null where the path does not pass
 */
export function pathPieces(stops: readonly (number | null)[]): (PathPiece | null)[] {
  const rows = stops.flatMap((stop, row) => (stop === null ? [] : [{ row, x: stop + 0.5 }]));
  const halves = stops.map((): { upper: PathHalf | null; lower: PathHalf | null } => ({ upper: null, lower: null }));
  for (const [i, from] of rows.entries()) {
    const to = rows[i + 1];
    if (to === undefined) break;
    const steps = to.row - from.row;
    const xAt = (row: number) => from.x + ((to.x - from.x) * (row - from.row)) / steps;
    const half = (start: number): PathHalf => ({ fromX: xAt(start), toX: xAt(start + 0.5), rests: steps > 1 });
    for (let row = from.row; row <= to.row; row += 1) {
      const piece = halves[row];
      if (!piece) continue;
      if (row > from.row) piece.upper = half(row - 0.5);
      if (row < to.row) piece.lower = half(row);
    }
  }
  return halves.map((piece, row) =>
    piece.upper || piece.lower || stops[row] !== null ? { upper: piece.upper, lower: piece.lower } : null,
  );
}
