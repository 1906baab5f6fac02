import { common } from '../texts/en/common.ts';

interface FormErrorsProps {
  /**
   * Control's id and the sentence about it, in page order. The key `''` is for what concerns the whole form.
   * A `Choice` is reached by its name.
   */
  errors: Readonly<Record<string, string>>;
}

/** The list above a form that came back: it takes the focus and leads to each field. Nothing when all is well. */
export function FormErrors({ errors }: FormErrorsProps) {
  const entries = Object.entries(errors);
  if (entries.length === 0) return null;
  return (
    <section class="form-errors" id="form-errors" tabindex={-1} data-focus aria-labelledby="form-errors-title">
      <h2 id="form-errors-title">{common.formErrors.title(entries.length)}</h2>
      <ul>
        {entries.map(([id, sentence]) => (
          <li key={id}>{id === '' ? sentence : <a href={`#${id}`}>{sentence}</a>}</li>
        ))}
      </ul>
      <p>{common.formErrors.kept}</p>
    </section>
  );
}
