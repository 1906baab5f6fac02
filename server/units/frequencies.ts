import { ranges } from '../profiles/model/profile.ts';

const [least, most] = ranges.pwmHz;

/**
 * Reads switching frequencies as a person writes them: numbers in hertz between blanks or commas, and runs such as
 * `200-5000/100` (every 100 Hz; without a step, every one).
 *
 * @returns by rising size, each once; null for a text that holds anything else, or frequencies that no profile has
 */
export function readFrequencies(text: string): number[] | null {
  const found = new Set<number>();
  for (const word of text
    .replace(/\s*-\s*/g, '-')
    .split(/[\s,;]+/)
    .filter((one) => one !== '')) {
    const match = /^(\d{1,5})(?:-(\d{1,5})(?:\/(\d{1,4}))?)?$/.exec(word);
    if (!match) return null;
    const from = Number(match[1]);
    const to = Number(match[2] ?? match[1]);
    const step = Number(match[3] ?? 1);
    if (from < least || to > most || from > to || step === 0) return null;
    for (let hertz = from; hertz <= to; hertz += step) found.add(hertz);
  }
  return [...found].sort((a, b) => a - b);
}

/** The same list as {@link readFrequencies} reads it; evenly spaced ones as a run. */
export function frequenciesText(list: readonly number[]): string {
  const [first = 0, second = 0] = list;
  const step = second - first;
  const isRun = list.length > 2 && list.every((hertz, i) => hertz === first + i * step);
  if (!isRun) return list.join(', ');
  return step === 1 ? `${first}-${list.at(-1)}` : `${first}-${list.at(-1)}/${step}`;
}
