const segmenter = new Intl.Segmenter('en', { granularity: 'grapheme' });

/** What fits beside a line of a drawing. */
const most = 13;

/** A name for a drawing with little room: cut with an ellipsis after twelve graphemes. Its table has the whole name. */
export function shortName(name: string): string {
  const letters = [...segmenter.segment(name)].map(({ segment }) => segment);
  return letters.length <= most
    ? name
    : `${letters
        .slice(0, most - 1)
        .join('')
        .trimEnd()}…`;
}
