import type { FormState } from '../server/shared/form.ts';
import { Button } from './components/button.tsx';
import { Choice, Fieldset } from './components/choice.tsx';
import { describedBy } from './components/field.tsx';
import { LiveError } from './profile-setting.tsx';
import { profileEditor as t } from './texts/en/profile-editor.ts';
import { typedIn } from './typed.ts';

/** Rows for points between the two ends. */
const rows = 7;

interface PointsProps {
  form: FormState;
  /** What was saved last, by field. */
  savedValue: (name: string) => string | null;
}

/** A curve by points: a row of two numbers for each. A script shows as many rows as are used. */
export function CurvePoints({ form, savedValue }: PointsProps) {
  const typed = typedIn(form);
  return (
    <>
      <Choice
        legend={t.curveKind.label}
        {...typed('curveKind', 'shape')}
        options={[
          { value: 'shape', ...t.curveKind.shape },
          { value: 'points', ...t.curveKind.points },
        ]}
      />
      <p class="field-hint">{t.points.hint}</p>
      <ol class="points" data-points>
        {Array.from({ length: rows }, (_, index) => index + 1).map((number) => (
          <li key={number} class="point" data-point={number}>
            <Fieldset legend={t.points.legend(number)} id={`point${number}`}>
              <div class="point-line">
                <Coordinate
                  {...typed(`point${number}x`)}
                  label={t.points.trigger}
                  saved={savedValue(`point${number}x`)}
                />
                <Coordinate
                  {...typed(`point${number}y`)}
                  label={t.points.drive}
                  saved={savedValue(`point${number}y`)}
                />
                <button
                  class="button button-quiet point-remove"
                  type="button"
                  data-point-remove={number}
                  aria-label={t.points.removeName(number)}
                  hidden
                >
                  {t.points.remove}
                </button>
              </div>
            </Fieldset>
          </li>
        ))}
      </ol>
      <p hidden data-points-more>
        <Button type="button" data-point-add>
          {t.points.add}
        </Button>
      </p>
    </>
  );
}

interface CoordinateProps {
  name: string;
  label: string;
  value: string;
  error: string | null;
  saved: string | null;
}

function Coordinate({ name, label, value, error, saved }: CoordinateProps) {
  return (
    <div class={error ? 'field field-wrong' : 'field'}>
      <label class="field-label" for={name}>
        {label}
      </label>
      <span class="field-line">
        <input
          class="input point-input"
          id={name}
          name={name}
          type="number"
          inputmode="decimal"
          min={0}
          max={100}
          step="any"
          value={value}
          data-saved={saved}
          {...describedBy(name, null, error)}
        />
        <span class="field-unit">{t.units.percent}</span>
      </span>
      <LiveError name={name} error={error} />
    </div>
  );
}
