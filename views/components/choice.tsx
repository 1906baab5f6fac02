import type { ComponentChildren } from 'preact';
import { describedBy, FieldError } from './field.tsx';

interface FieldsetProps {
  legend: ComponentChildren;
  hint?: ComponentChildren;
  /** Needed when there is a hint or an error. */
  id?: string | undefined;
  error?: string | null | undefined;
  children: ComponentChildren;
}

/** Fields that answer one question together. */
export function Fieldset({ legend, hint, id = 'group', error, children }: FieldsetProps) {
  return (
    <fieldset class={error ? 'fieldset field-wrong' : 'fieldset'} id={id} {...describedBy(id, hint, error)}>
      <legend class="legend">{legend}</legend>
      {hint ? (
        <p class="field-hint" id={`${id}-hint`}>
          {hint}
        </p>
      ) : null}
      {children}
      <FieldError id={id} error={error} />
    </fieldset>
  );
}

export interface ChoiceOption {
  value: string | number;
  label: ComponentChildren;
  hint?: ComponentChildren;
  disabled?: boolean | undefined;
}

interface ChoiceProps {
  legend: string;
  name: string;
  id?: string | undefined;
  options: readonly ChoiceOption[];
  value?: string | number | null | undefined;
  hint?: ComponentChildren;
  error?: string | null | undefined;
  required?: boolean | undefined;
  /** Side by side where there is room (default), or one under the other. */
  stacked?: boolean | undefined;
}

/** One of a few: large cards with a radio button each. */
export function Choice({ legend, name, id = name, options, value, hint, error, required, stacked }: ChoiceProps) {
  return (
    <Fieldset legend={legend} id={id} hint={hint} error={error}>
      <div class={stacked ? 'choices choices-stacked' : 'choices'}>
        {options.map((option) => (
          <label class="choice" key={option.value}>
            <input
              type="radio"
              id={`${id}-${option.value}`}
              name={name}
              value={option.value}
              checked={value !== null && value !== undefined && String(value) === String(option.value)}
              disabled={option.disabled}
              required={required}
            />
            <span class="choice-words">
              <span class="choice-label">{option.label}</span>
              {option.hint ? <span class="choice-hint">{option.hint}</span> : null}
            </span>
          </label>
        ))}
      </div>
    </Fieldset>
  );
}

interface CheckboxProps {
  label: ComponentChildren;
  name: string;
  id?: string | undefined;
  /** What is sent when ticked. Default `on`. */
  value?: string | number | undefined;
  checked?: boolean | undefined;
  hint?: ComponentChildren;
  error?: string | null | undefined;
  disabled?: boolean | undefined;
}

/** Yes or no; also one of several that may all be ticked. */
export function Checkbox({ label, name, id = name, value = 'on', checked, hint, error, disabled }: CheckboxProps) {
  return (
    <div class={error ? 'field field-wrong' : 'field'}>
      <label class="choice">
        <input
          type="checkbox"
          id={id}
          name={name}
          value={value}
          checked={checked}
          disabled={disabled}
          {...describedBy(id, hint, error)}
        />
        <span class="choice-words">
          <span class="choice-label">{label}</span>
          {hint ? (
            <span class="choice-hint" id={`${id}-hint`}>
              {hint}
            </span>
          ) : null}
        </span>
      </label>
      <FieldError id={id} error={error} />
    </div>
  );
}
