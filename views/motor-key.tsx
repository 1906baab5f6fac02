interface KeyLine {
  /** Class of the stroke. */
  readonly stroke: string;
  readonly word: string;
}

/** Which line is what. */
export function MotorKey({ lines }: { lines: readonly KeyLine[] }) {
  return (
    <ul class="plot-key">
      {lines.map(({ stroke, word }) => (
        <li key={word}>
          <svg class="plot-key-line" viewBox="0 0 40 14" aria-hidden="true" focusable="false">
            <path class={`plot-line ${stroke}`} d="M1 7H39" />
          </svg>
          <bdi>{word}</bdi>
        </li>
      ))}
    </ul>
  );
}
