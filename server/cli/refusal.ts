/** Ends a command with a sentence and an exit code: 1 it did not work, 2 wrong use. */
export class Refusal extends Error {
  readonly code: 1 | 2;
  constructor(code: 1 | 2, sentence: string) {
    super(sentence);
    this.code = code;
  }
}
