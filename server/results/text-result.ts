/** What the plain text is made of; every sentence comes from outside. */
export type TextResultParts = {
  /** Name and day of the meeting. */
  readonly title: string;
  readonly races: readonly TextRace[];
  /** Thanks, the next meeting, an address: lines at the end. */
  readonly closing: readonly string[];
  /** Stands for the rows that had no room. */
  readonly more: (rows: number) => string;
};

export type TextRace = {
  readonly headline: string;
  /** One line an entry, in the order of the standing. */
  readonly rows: readonly string[];
};

/** What fits on a phone without scrolling far. */
export const mostLines = 20;

/**
 * A result to paste into a group: at most twenty lines of plain text, no drawn tables. Of many races each keeps its
 * headline first; the room that is left goes to their rows in equal parts.
 *
 * @returns lines ended by line feeds, without one at the end
 */
export function textResult({ title, races, closing, more }: TextResultParts): string {
  const room = mostLines - 1 - closing.length;
  const shown = races.slice(0, room);
  const rowsEach = Math.floor((room - shown.length) / Math.max(1, shown.length));
  const lines = shown.flatMap(({ headline, rows }) => [headline, ...withRoom(rows, rowsEach, more)]);
  return [title, ...lines, ...closing].map(oneLine).join('\n');
}

function withRoom(rows: readonly string[], room: number, more: (rows: number) => string): readonly string[] {
  if (rows.length <= room) return rows;
  if (room < 2) return [];
  return [...rows.slice(0, room - 1), more(rows.length - room + 1)];
}

/** Names may hold line ends, for example those of an imported meeting. */
function oneLine(text: string): string {
  return text.replace(/[\p{Cc}\p{Zl}\p{Zp}]+/gu, ' ');
}
