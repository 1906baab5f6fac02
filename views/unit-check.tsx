import type { Calibration } from '../server/profiles/calibration/calibrate.ts';
import type { FormState } from '../server/shared/form.ts';
import type { TriggerTrace as StoredTrace, TraceHead } from '../server/units/calibration-store.ts';
import { Button, ButtonRow } from './components/button.tsx';
import { Choice } from './components/choice.tsx';
import { Section, Steps } from './components/content.tsx';
import { Field, TextareaField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { shortDate, timeOfDay } from './format.ts';
import type { Shell } from './layout.tsx';
import { unitCheck as t } from './texts/en/unit-check.ts';
import { typedIn } from './typed.ts';
import { SerialPart } from './unit-cable.tsx';
import { UnitSubpage } from './unit-subpage.tsx';
import { TraceRegion, WaitingRegion } from './unit-trace.tsx';
import { urls } from './urls.ts';

interface CheckedUnit {
  id: string;
  name: string;
  tokenHash: string | null;
}

interface UnitCheckPageProps {
  shell: Shell;
  slug: string;
  zone: string;
  unit: CheckedUnit;
  form: FormState;
  /** The traces kept, the latest first. */
  traces: readonly TraceHead[];
}

/** How a trigger is checked, and the ways in for its readings. */
export function UnitCheckPage({ shell, slug, zone, unit, form, traces }: UnitCheckPageProps) {
  const address = urls.unit(slug, unit.id);
  const title = t.titleOf(unit.name);
  return (
    <UnitSubpage shell={shell} slug={slug} unit={unit} title={title} errors={form.errors} scripts={['serial.js']}>
      <Notice kind="danger" title={t.caution}>
        {t.cautionText}
      </Notice>
      <Section title={t.how} id="how">
        <Steps items={t.steps.map((step) => ({ ...step, state: 'later' as const }))} />
        <p>{t.pace}</p>
      </Section>
      <Section title={t.fromUnit} id="from-unit">
        <p>
          {t.fromUnitIntro} <a href={urls.help('units')}>{t.fromUnitHelp}</a>
        </p>
        {unit.tokenHash === null ? (
          <p>
            {t.noToken} <a href={`${address}#token`}>{t.makeToken}</a>
          </p>
        ) : (
          <WaitingRegion href={`${address}/check/state?after=${traces[0]?.n ?? 0}`} />
        )}
      </Section>
      <Section title={t.cable} id="cable">
        <SerialPart />
      </Section>
      <Section title={t.typed} id="typed">
        <p>{t.typedIntro}</p>
        <ReadingsForm address={address} csrf={shell.csrf} form={form} />
      </Section>
      {traces.length === 0 ? null : (
        <Section title={t.earlier} id="earlier">
          <ul class="places">
            {traces.map(({ n, createdAt }) => {
              const place = { zone, locale: shell.lang };
              return (
                <li key={n}>
                  <a href={`${address}/checks/${n}`}>
                    {t.earlierOf(n, `${shortDate(createdAt, place)}, ${timeOfDay(createdAt, place)}`)}
                  </a>
                </li>
              );
            })}
          </ul>
        </Section>
      )}
    </UnitSubpage>
  );
}

function ReadingsForm({ address, csrf, form }: { address: string; csrf: string | null; form: FormState }) {
  const field = typedIn(form);
  return (
    <Form action={`${address}/check`} csrf={csrf} enctype="multipart/form-data" id="readings">
      <input type="hidden" name="fromCable" value="" />
      <Choice
        legend={t.bits}
        {...field('bits')}
        options={[12, 14].map((bits) => ({ value: bits, label: t.bitsOf(bits) }))}
      />
      <Field
        label={t.restSamples}
        hint={t.restHint}
        {...field('restSamples')}
        type="number"
        min={0}
        step={1}
        inputmode="numeric"
        required
      />
      <TextareaField label={t.counts} hint={t.countsHint} {...field('counts')} rows={6} optional />
      <Field
        label={t.file}
        hint={t.fileHint}
        name="file"
        type="file"
        accept=".csv,.txt,.json,text/csv,text/plain,application/json"
        error={form.errors.file}
        optional
      />
      <ButtonRow>
        <Button kind="primary">{t.look}</Button>
      </ButtonRow>
    </Form>
  );
}

interface UnitTracePageProps {
  shell: Shell;
  slug: string;
  unit: CheckedUnit & { mechanicalSetting: number };
  trace: StoredTrace;
  /** What it shows; null while it is not complete. */
  found: Calibration | null;
}

/** What readings of a trigger show. */
export function UnitTracePage({ shell, slug, unit, trace, found }: UnitTracePageProps) {
  const title = t.resultTitle(unit.name);
  return (
    <UnitSubpage shell={shell} slug={slug} unit={unit} title={title}>
      <TraceRegion {...{ slug, unit, trace, found }} csrf={shell.csrf} />
    </UnitSubpage>
  );
}
