import type { ComponentChildren } from 'preact';
import { describedBy, FieldError } from './components/field.tsx';
import { profileEditor as t } from './texts/en/profile-editor.ts';

/** Least and most of a setting as typed, the step of its slider, its unit. */
export interface SettingRange {
  readonly min: number;
  readonly max: number;
  readonly step: number;
  readonly unit: 'percent' | 'ms' | 'hz' | 'none';
  /** Sliders of frequencies go by ratios: as far from 200 to 400 Hz as from 2000 to 4000. */
  readonly scale?: 'log';
}

interface SettingProps {
  name: string;
  label: string;
  hint: string;
  value: string;
  error: string | null;
  range: SettingRange;
  /** What the two ends mean, where a number says little. */
  ends?: { low: string; high: string } | undefined;
  /** What was saved last: the way back. */
  saved: string | null;
  /** More about it, under the hint. */
  children?: ComponentChildren;
}

/** Slots of a slider that goes by ratios. */
const logSlots = 1000;

/**
 * A number with its unit, and a slider that a script keeps in step with it. Only the number is sent; without scripts
 * there is no slider.
 */
export function Setting({ name, label, hint, value, error, range, ends, saved, children }: SettingProps) {
  const unit = t.units[range.unit];
  const log = range.scale === 'log';
  return (
    <div class={error ? 'field setting field-wrong' : 'field setting'}>
      <label class="field-label" for={name}>
        {label}
      </label>
      <span class="field-line">
        <input
          class="input input-number"
          id={name}
          name={name}
          type="number"
          inputmode="decimal"
          min={range.min}
          max={range.max}
          step={range.unit === 'percent' ? 'any' : 1}
          value={value}
          data-saved={saved}
          {...describedBy(name, hint, error)}
        />
        <span class="field-unit">{unit}</span>
      </span>
      <div class="setting-track">
        <input
          class="setting-slider"
          id={`${name}-slider`}
          type="range"
          disabled
          aria-label={t.slider(label)}
          aria-valuetext={t.sliderValue(value, unit)}
          min={log ? 0 : range.min}
          max={log ? logSlots : range.max}
          step={range.step}
          value={log ? logPosition(Number(value), range) : value}
          data-slider={name}
          data-log={log ? `${range.min} ${range.max}` : undefined}
          data-unit={unit}
        />
        {ends ? (
          <p class="setting-ends" aria-hidden="true">
            <span>{ends.low}</span>
            <span>{ends.high}</span>
          </p>
        ) : null}
      </div>
      <p class="field-hint" id={`${name}-hint`}>
        {hint}
      </p>
      {children}
      <LiveError name={name} error={error} />
    </div>
  );
}

/** Where a value stands on a slider that goes by ratios; its middle for what is no number. */
function logPosition(value: number, { min, max }: SettingRange): number {
  const share = Math.log(value / min) / Math.log(max / min);
  return Number.isFinite(share) ? Math.round(Math.min(1, Math.max(0, share)) * logSlots) : logSlots / 2;
}

/** The place of a field's sentence, also where there is none yet: a live preview fills it. */
export function LiveError({ name, error }: { name: string; error: string | null }) {
  return (
    <div id={`${name}-live`} class="live-error">
      <FieldError id={name} error={error} />
    </div>
  );
}
