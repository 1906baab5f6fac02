import type { FormState } from '../server/shared/form.ts';
import { TextareaField } from './components/field.tsx';
import { profiles as t } from './texts/en/profiles.ts';
import { typedIn } from './typed.ts';

/** What was changed and why: kept with the version. */
export function NoteField({ form }: { form: FormState }) {
  return (
    <TextareaField
      label={t.save.note}
      hint={t.save.noteHint}
      {...typedIn(form)('note')}
      rows={2}
      maxlength={280}
      optional
    />
  );
}
