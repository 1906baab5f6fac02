import { unbroken } from './format.ts';

/** What a driver will feel, a sentence a line, the largest difference first. */
export const FeltWords = ({ words }: { words: readonly string[] }) => (
  <ul>
    {words.map((sentence) => (
      <li key={sentence}>{unbroken(sentence)}</li>
    ))}
  </ul>
);
