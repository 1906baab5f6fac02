import type { FormState } from '../server/shared/form.ts';
import type { StepPart, SteppedSetting } from '../server/units/sheet-form.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Checkbox, Choice, Fieldset } from './components/choice.tsx';
import { Section } from './components/content.tsx';
import { Field } from './components/field.tsx';
import { Form } from './components/form.tsx';
import type { Shell } from './layout.tsx';
import { unitSheet as t } from './texts/en/unit-sheet.ts';
import { typedIn } from './typed.ts';
import { UnitSubpage } from './unit-subpage.tsx';
import { urls } from './urls.ts';

interface UnitSheetPageProps {
  shell: Shell;
  slug: string;
  unit: { id: string; name: string };
  form: FormState;
}

const parts: readonly StepPart[] = ['min', 'max', 'step'];
const plain = ['minDrive', 'maxDrive', 'releaseBand', 'rampUpMs', 'brakeFull'] as const;

/** The form of a unit's sheet: every setting may be missing. */
export function UnitSheetPage({ shell, slug, unit, form }: UnitSheetPageProps) {
  const address = urls.unit(slug, unit.id, 'sheet');
  const title = t.titleOf(unit.name);
  return (
    <UnitSubpage shell={shell} slug={slug} unit={unit} title={title} errors={form.errors}>
      <p>{t.intro}</p>
      <p>{t.everythingIntro}</p>
      <ButtonRow>
        <ButtonLink href={`${address}?begin=everything`}>{t.everything}</ButtonLink>
        <ButtonLink href={`${address}?begin=nothing`}>{t.clear}</ButtonLink>
      </ButtonRow>
      <Form action={address} csrf={shell.csrf} class="sheet-form">
        {plain.map((setting) => (
          <Section key={setting} title={t.settings[setting]}>
            <p class="field-hint">{t.hints[setting]}</p>
            <div class="sheet-setting">
              <Tick form={form} name={`has-${setting}`} label={t.has} />
              <div class="sheet-more">
                <StepFields form={form} setting={setting} />
              </div>
            </div>
          </Section>
        ))}
        <Section title={t.drag}>
          <div class="sheet-setting">
            <Tick form={form} name="has-drag" label={t.hasDrag} />
            <div class="sheet-more">
              <Fieldset legend={t.settings.dragStrength} id="dragStrength">
                <StepFields form={form} setting="dragStrength" />
              </Fieldset>
              <Fieldset legend={t.settings.dragZone} id="dragZone">
                <StepFields form={form} setting="dragZone" />
              </Fieldset>
              <Tick form={form} name="closingOnly" label={t.closingOnly} />
            </div>
          </div>
        </Section>
        <Section title={t.curve}>
          <CurveFields form={form} />
        </Section>
        <Section title={t.frequency}>
          <Field
            label={t.frequency}
            hint={t.frequencyHint}
            {...typedIn(form)('pwmHz')}
            unit={t.hertz}
            spellcheck={false}
            optional
          />
        </Section>
        <Section title={t.switching}>
          <Ticks form={form} name="decay" legend={t.decay} options={t.decays} />
          <Ticks form={form} name="rectify" legend={t.rectify} options={t.rectifies} />
        </Section>
        <ButtonRow>
          <Button kind="primary">{t.save}</Button>
        </ButtonRow>
      </Form>
    </UnitSubpage>
  );
}

interface StepFieldsProps {
  form: FormState;
  setting: SteppedSetting | 'curve';
}

/** Least, most and step of one setting, side by side where there is room. */
function StepFields({ form, setting }: StepFieldsProps) {
  const field = typedIn(form);
  const isShare = setting !== 'rampUpMs' && setting !== 'curve';
  const unit = setting === 'curve' ? null : isShare ? t.percent : t.ms;
  return (
    <div class="step-fields">
      {parts.map((part) => (
        <Field
          key={part}
          label={unit === null ? t.parts[part] : t.partIn(t.parts[part], unit)}
          {...field(`${setting}-${part}`)}
          width="number"
          inputmode={setting === 'curve' ? 'text' : isShare ? 'decimal' : 'numeric'}
        />
      ))}
    </div>
  );
}

function CurveFields({ form }: { form: FormState }) {
  const field = typedIn(form);
  const options = (['none', 'number', 'table', 'points', 'any'] as const).map((value) => ({
    value,
    ...t.curves[value],
  }));
  return (
    <div class="sheet-curve">
      <Choice legend={t.curve} {...field('curve')} options={options} />
      <div class="sheet-number">
        <Fieldset legend={t.curveNumber} hint={t.curveNumberHint} id="curve-shape">
          <StepFields form={form} setting="curve" />
        </Fieldset>
      </div>
      <div class="sheet-table">
        <Field label={t.tableEntries} {...field('tableEntries')} width="number" inputmode="numeric" />
        <Field label={t.tableStep} {...field('tableStep')} width="number" inputmode="decimal" unit={t.percent} />
      </div>
      <div class="sheet-points">
        <Field label={t.curvePoints} {...field('curvePoints')} width="number" inputmode="numeric" />
      </div>
    </div>
  );
}

function Tick({ form, name, label }: { form: FormState; name: string; label: string }) {
  return <Checkbox label={label} name={name} checked={typedIn(form)(name).value !== ''} />;
}

interface TicksProps {
  form: FormState;
  name: 'decay' | 'rectify';
  legend: string;
  options: Readonly<Record<string, { label: string; hint: string }>>;
}

function Ticks({ form, name, legend, options }: TicksProps) {
  const chosen = [form.typed[name] ?? []].flat();
  return (
    <Fieldset legend={legend} id={name} error={form.errors[name]}>
      {Object.entries(options).map(([value, words]) => (
        <Checkbox
          key={value}
          name={name}
          id={`${name}-${value}`}
          value={value}
          checked={chosen.includes(value)}
          {...words}
        />
      ))}
    </Fieldset>
  );
}
