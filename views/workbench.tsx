import type { FormState } from '../server/shared/form.ts';
import type { CheckResult } from '../server/workbench/bench.ts';
import type { InputName } from '../server/workbench/inputs.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Choice, Fieldset } from './components/choice.tsx';
import { Field } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Notice, type NoticeKind } from './components/notice.tsx';
import { unbroken } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { workbench as t } from './texts/en/workbench.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

type NumberName = Exclude<InputName, 'supplyCanSink'>;

interface Group {
  title: string;
  fields: readonly NumberName[];
  /** Whether it asks if the supply takes current back. */
  sink?: true;
  /** Checks whose results stand beside these fields. */
  checks: readonly string[];
}

const groups: readonly Group[] = [
  { title: t.groups.supply, fields: ['voltageV', 'supplyA', 'lanes'], sink: true, checks: ['supply'] },
  {
    title: t.groups.wire,
    fields: ['awg', 'areaMm2', 'lengthM', 'currentA', 'ambientC', 'insulationC', 'fuseA'],
    checks: ['drop', 'heat', 'fuse'],
  },
  {
    title: t.groups.controller,
    fields: ['motorOhm', 'bridgeOhm', 'trackOhm', 'driverA', 'pwmHz', 'dutyPercent', 'brakePercent', 'dragPercent'],
    checks: ['stall'],
  },
  {
    title: t.groups.capacitor,
    fields: [
      'capacitorUf',
      'capacitorV',
      'capacitorRippleA',
      'capacitorLifeH',
      'capacitorRatedC',
      'capacitorC',
      'brakingEnergyJ',
    ],
    checks: ['rating', 'ripple', 'droop', 'life', 'pumpUp'],
  },
];

const whole: readonly NumberName[] = ['awg', 'lanes'];

interface WorkbenchPageProps {
  shell: Shell;
  slug: string;
  form: FormState;
  /** Null before anything was worked out. */
  results: readonly CheckResult[] | null;
  /** The worst of them. */
  overall: CheckResult['state'];
}

/** What wires, supply, fuse and capacitor have to stand: one form, and beside each part of it what can be said. */
export function WorkbenchPage({ shell, slug, form, results, overall }: WorkbenchPageProps) {
  const address = urls.inClub(slug, 'workbench');
  return (
    <Page shell={shell} title={t.title} heading={t.title} kind="wide">
      <FormErrors errors={form.errors} />
      <p>{t.intro}</p>
      <Notice kind="danger" title={t.cautionsTitle} id="cautions">
        <ul>
          {t.cautions.map((caution) => (
            <li key={caution}>{caution}</li>
          ))}
        </ul>
      </Notice>
      {results ? <Overview results={results} state={overall} /> : null}
      <Form action={address} method="get" class="workbench">
        {groups.map((group, index) => (
          <GroupRow key={group.title} id={`group-${index}`} group={group} form={form} results={results} />
        ))}
        <ButtonRow>
          <Button kind="primary">{t.button}</Button>
          <ButtonLink href={`${address}?${exampleQuery}`}>{t.exampleButton}</ButtonLink>
          <ButtonLink href={address}>{t.clear}</ButtonLink>
        </ButtonRow>
      </Form>
    </Page>
  );
}

/** What to look at first, first. */
const worstFirst: readonly CheckResult['state'][] = ['stop', 'warning', 'unknown', 'ok'];

/** All in one word, and the way to each result, the worst first. */
function Overview({ results, state }: { results: readonly CheckResult[]; state: CheckResult['state'] }) {
  const sorted = [...results].sort((a, b) => worstFirst.indexOf(a.state) - worstFirst.indexOf(b.state));
  return (
    <Notice kind={kinds[state]} title={t.overall(state)} id="overview">
      <ul>
        {sorted.map((result) => (
          <li key={result.check}>
            <a href={`#check-${result.check}`}>{t.titleOf(result.check, result.state)}</a>
          </li>
        ))}
      </ul>
    </Notice>
  );
}

function GroupRow({
  id,
  group: { title, fields, sink, checks },
  form,
  results,
}: { id: string; group: Group } & Pick<WorkbenchPageProps, 'form' | 'results'>) {
  const field = typedIn(form);
  const shown = results?.filter(({ check }) => checks.includes(check)) ?? [];
  return (
    <div class="workbench-group">
      <Fieldset legend={title} id={id}>
        <div class="workbench-fields">
          {fields.map((name) => (
            <NumberField key={name} name={name} typed={field(name)} />
          ))}
        </div>
        {sink ? (
          <Choice
            legend={t.inputs.supplyCanSink?.label ?? ''}
            hint={t.canSink.hint}
            {...field('supplyCanSink', 'unknown')}
            options={(['yes', 'no', 'unknown'] as const).map((value) => ({ value, label: t.canSink[value] }))}
          />
        ) : null}
      </Fieldset>
      <div class="workbench-results">
        {shown.map((result) => (
          <Result key={result.check} result={result} />
        ))}
      </div>
    </div>
  );
}

type Typed = { value: string; error: string | null };

function NumberField({ name, typed: { value, error } }: { name: NumberName; typed: Typed }) {
  const { label = name, unit = '', hint, example = '' } = t.inputs[name] ?? {};
  return (
    <Field
      label={label}
      name={name}
      value={value}
      error={error}
      hint={t.hint(hint, example)}
      unit={unit}
      inputmode={whole.includes(name) ? 'numeric' : 'decimal'}
      width="short"
      autocomplete="off"
    />
  );
}

/** The page with every example typed in: to look at, and to change. */
const exampleQuery = new URLSearchParams([
  ...Object.entries(t.inputs).flatMap(([name, { example }]) =>
    example === '' || name === 'areaMm2' ? [] : [[name, example] as [string, string]],
  ),
  ['supplyCanSink', 'no'],
]).toString();

const kinds: Readonly<Record<CheckResult['state'], NoticeKind>> = {
  ok: 'ok',
  warning: 'warning',
  stop: 'danger',
  unknown: 'info',
};

function Result({ result: { check, state, missing, findings, figures } }: { result: CheckResult }) {
  return (
    <Notice kind={kinds[state]} title={t.titleOf(check, state)} id={`check-${check}`}>
      {missing.length > 0 ? <p>{t.missing(missing)}</p> : <p>{unbroken(t.figures(check, figures))}</p>}
      {findings.map(({ reason }) => (
        <p key={reason}>{unbroken(t.reason(reason))}</p>
      ))}
      <p>{t.estimate}</p>
    </Notice>
  );
}
