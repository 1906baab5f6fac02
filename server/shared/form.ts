/** A form as somebody sent it, with a sentence for each field that is not right. */
export type FormState = {
  /** What was typed, by field name; shown again so that nothing has to be typed twice. */
  readonly typed: Readonly<Record<string, string | readonly string[]>>;
  /** One plain sentence by field name; the empty name stands for the form as a whole. */
  readonly errors: Readonly<Record<string, string>>;
};

/** An untouched form, with values to begin with. */
export function freshForm(typed: FormState['typed'] = {}): FormState {
  return { typed, errors: {} };
}

/** The same form with one more sentence. */
export function withError(form: FormState, field: string, sentence: string): FormState {
  return { typed: form.typed, errors: { ...form.errors, [field]: sentence } };
}
