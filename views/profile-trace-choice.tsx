import type { FormState } from '../server/shared/form.ts';
import { Field, SelectField } from './components/field.tsx';
import { LiveError } from './profile-setting.tsx';
import { profilePictures as t } from './texts/en/profile-pictures.ts';
import { typedIn } from './typed.ts';

/** Every ready movement, and one of one's own. */
const choices = ['corner', 'hairpin', 'start', 'flutter', 'own'] as const;

interface TraceChoiceProps {
  form: FormState;
  /** The form that these fields belong to, wherever they stand. */
  formId: string;
}

/** Which movement of the trigger is drawn: a ready one, or one's own, drawn or typed. */
export function TraceChoice({ form, formId }: TraceChoiceProps) {
  const typed = typedIn(form);
  return (
    <div class="trace-choice">
      <SelectField
        label={t.trace.choose}
        {...typed('trace', 'corner')}
        options={choices.map((value) => ({ value, label: t.trace.ready[value] }))}
        width="short"
        form={formId}
      />
      <div>
        <Field label={t.trace.typed} {...typed('traceTyped')} error={null} hint={t.trace.typedHint} form={formId} />
        <LiveError name="traceTyped" error={typed('traceTyped').error} />
      </div>
      <div class="trace-strip" data-trace-strip hidden>
        <p class="plot-hint">{t.trace.draw}</p>
        <svg class="trace-pad" viewBox="0 0 1000 200" preserveAspectRatio="none" aria-hidden="true" focusable="false">
          <path class="plot-line plot-own" data-trace-line d="M0 200H1000" vector-effect="non-scaling-stroke" />
        </svg>
      </div>
    </div>
  );
}
