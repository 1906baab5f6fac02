import type { ComponentChildren } from 'preact';
import { common } from '../texts/en/common.ts';
import type { PassedOn } from './types.ts';

interface CommonFieldProps extends PassedOn {
  label: string;
  name: string;
  /** Default: the name. Give another where two forms of a page hold the same name. */
  id?: string | undefined;
  value?: string | number | null | undefined;
  hint?: ComponentChildren;
  /** The sentence that says what is wrong with the typed value and what would be right. */
  error?: string | null | undefined;
  required?: boolean | undefined;
  /** Adds "(optional)" to the label. */
  optional?: boolean | undefined;
  disabled?: boolean | undefined;
  autocomplete?: string | undefined;
  /** Id of the form, for a control that stands outside it. */
  form?: string | undefined;
}

interface FrameProps {
  id: string;
  label: string;
  hint?: ComponentChildren;
  error?: string | null | undefined;
  optional?: boolean | undefined;
  children: ComponentChildren;
}

/** Label, hint, control and error in reading order. */
function FieldFrame({ id, label, hint, error, optional, children }: FrameProps) {
  return (
    <div class={error ? 'field field-wrong' : 'field'}>
      <label class="field-label" for={id}>
        {label}
        {optional ? <span class="field-optional"> {common.field.optional}</span> : null}
      </label>
      {hint ? (
        <p class="field-hint" id={`${id}-hint`}>
          {hint}
        </p>
      ) : null}
      {children}
      <FieldError id={id} error={error} />
    </div>
  );
}

/** The sentence under a wrong control, tied to it by `describedBy`. */
export function FieldError({ id, error }: { id: string; error?: string | null | undefined }) {
  return error ? (
    <p class="field-error" id={`${id}-error`}>
      {error}
    </p>
  ) : null;
}

/** The attributes that tie a control to its hint and error. */
export function describedBy(id: string, hint: unknown, error: string | null | undefined) {
  const ids = [hint ? `${id}-hint` : '', error ? `${id}-error` : ''].filter(Boolean).join(' ');
  return {
    'aria-describedby': ids === '' ? undefined : ids,
    'aria-invalid': error ? ('true' as const) : undefined,
  };
}

interface FieldProps extends CommonFieldProps {
  type?:
    | 'text'
    | 'number'
    | 'password'
    | 'email'
    | 'search'
    | 'date'
    | 'time'
    | 'datetime-local'
    | 'color'
    | 'file'
    | undefined;
  inputmode?: 'text' | 'numeric' | 'decimal' | 'email' | 'search' | undefined;
  min?: number | string | undefined;
  max?: number | string | undefined;
  step?: number | 'any' | undefined;
  maxlength?: number | undefined;
  pattern?: string | undefined;
  /** Unit after the control: "s", "mm", "laps". */
  unit?: string | undefined;
  /** How much the control holds; it never grows past its column. Default: `number` for numbers, else `full`. */
  width?: 'number' | 'short' | 'full' | undefined;
  /** Ids of suggestions: see `Suggestions`. */
  list?: string | undefined;
  autofocus?: boolean | undefined;
  readonly?: boolean | undefined;
  spellcheck?: boolean | undefined;
  accept?: string | undefined;
}

/** One line of input with its label, hint, unit and error. */
export function Field(props: FieldProps) {
  const {
    label,
    hint,
    error,
    optional,
    id = props.name,
    type = 'text',
    unit,
    width,
    value,
    spellcheck,
    ...rest
  } = props;
  const size = width ?? (type === 'number' ? 'number' : 'full');
  return (
    <FieldFrame id={id} label={label} hint={hint} error={error} optional={optional}>
      <span class="field-line">
        <input
          class={`input input-${size}`}
          id={id}
          // The types tie roles to each input type; no role is ever set here.
          type={type as 'text'}
          {...(value === null || value === undefined ? {} : { value })}
          spellcheck={spellcheck}
          {...describedBy(id, hint, error)}
          {...rest}
        />
        {unit ? <span class="field-unit">{unit}</span> : null}
      </span>
    </FieldFrame>
  );
}

export interface Option {
  value: string | number;
  label: string;
  disabled?: boolean | undefined;
}

interface SelectFieldProps extends CommonFieldProps {
  options: readonly Option[];
  /** First, empty entry. `true` says "Choose one". */
  blank?: boolean | string | undefined;
  width?: 'short' | 'full' | undefined;
}

/** A choice of one from a list that is too long for `Choice`. */
export function SelectField(props: SelectFieldProps) {
  const { label, hint, error, optional, id = props.name, options, blank, value, width = 'full', ...rest } = props;
  const chosen = value === null || value === undefined ? '' : String(value);
  return (
    <FieldFrame id={id} label={label} hint={hint} error={error} optional={optional}>
      <select class={`input input-${width}`} id={id} {...describedBy(id, hint, error)} {...rest}>
        {blank ? (
          <option value="" selected={chosen === ''}>
            {blank === true ? common.field.chooseOne : blank}
          </option>
        ) : null}
        {options.map((option) => (
          <option
            key={option.value}
            value={option.value}
            selected={String(option.value) === chosen}
            disabled={option.disabled}
          >
            {option.label}
          </option>
        ))}
      </select>
    </FieldFrame>
  );
}

interface TextareaFieldProps extends CommonFieldProps {
  rows?: number | undefined;
  maxlength?: number | undefined;
}

/** Several lines of input. */
export function TextareaField(props: TextareaFieldProps) {
  const { label, hint, error, optional, id = props.name, rows = 4, value, ...rest } = props;
  return (
    <FieldFrame id={id} label={label} hint={hint} error={error} optional={optional}>
      <textarea class="input input-full" id={id} rows={rows} {...describedBy(id, hint, error)} {...rest}>
        {value ?? ''}
      </textarea>
    </FieldFrame>
  );
}
