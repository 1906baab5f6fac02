import type { Car } from '../server/drivers/cars-store.ts';
import type { CarMotor } from '../server/profiles/motor/motor.ts';
import type { FormState } from '../server/shared/form.ts';
import { Button, ButtonRow } from './components/button.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { Breadcrumbs, Section } from './components/content.tsx';
import { Field, SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Notice } from './components/notice.tsx';
import { Page, type Shell } from './layout.tsx';
import { cars } from './texts/en/cars.ts';
import { motor as t } from './texts/en/motor.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

interface CarMotorPageProps {
  shell: Shell;
  slug: string;
  car: Pick<Car, 'id' | 'name'>;
  form: FormState;
  bench: FormState;
  /** The preset that the form begins with. */
  from: string | null;
  known: boolean;
  saved: boolean;
  computed: boolean;
}

const needed = ['rOhm', 'lMh', 'keVs', 'jm', 'b', 'tf', 'vs', 'mKg', 'rM', 'gear', 'mu'] as const;
const optional = ['fMagN', 'crr', 'rear', 'rho', 'wiringOhm'] as const satisfies readonly (keyof CarMotor)[];

/** The values of a car's motor, with how each is measured. */
export function CarMotorPage(props: CarMotorPageProps) {
  const { shell, slug, car, form, bench, from, known, saved, computed } = props;
  const address = urls.car(slug, car.id, 'motor');
  return (
    <Page
      shell={shell}
      title={t.car.title(car.name)}
      heading={<bdi>{t.car.title(car.name)}</bdi>}
      above={<MotorCrumbs slug={slug} role={shell.role} car={car} />}
      status={saved ? t.car.saved : computed ? t.car.bench.done : undefined}
    >
      <FormErrors errors={{ ...form.errors, ...bench.errors }} />
      {saved ? <Notice kind="ok">{t.car.saved}</Notice> : null}
      {computed ? <Notice kind="info">{t.car.bench.done}</Notice> : null}
      <p>{t.car.lead}</p>
      <Notice kind="warning" title={t.car.safety.title}>
        <ul>
          {t.car.safety.text.map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      </Notice>
      <PresetForm address={address} from={from} />
      <Form action={address} csrf={shell.csrf} id="values">
        {needed.map((key) => (
          <MotorField key={key} name={key} form={form} />
        ))}
        <details class="motor-optional" id="motor-optional" open={optional.some((key) => form.errors[key])}>
          <summary>{t.car.optional}</summary>
          {optional.map((key) => (
            <MotorField key={key} name={key} form={form} />
          ))}
        </details>
        <ButtonRow>
          <Button kind="primary">{t.car.save}</Button>
        </ButtonRow>
      </Form>
      <BenchForm address={address} from={from} bench={bench} />
      {known ? (
        <Form action={`${address}/remove`} csrf={shell.csrf}>
          <ButtonRow>
            <Button kind="danger">{t.car.remove}</Button>
          </ButtonRow>
        </Form>
      ) : null}
    </Page>
  );
}

function MotorCrumbs({ slug, role, car }: { slug: string; role: Shell['role']; car: CarMotorPageProps['car'] }) {
  const here = { label: t.car.crumb };
  if (role !== 'director') return <Breadcrumbs items={[{ label: car.name }, here]} />;
  const list = { href: urls.inClub(slug, 'cars'), label: cars.title };
  return <ClubCrumbs slug={slug} items={[list, { href: urls.car(slug, car.id), label: car.name }, here]} />;
}

function MotorField({ name, form }: { name: keyof CarMotor; form: FormState }) {
  const { label, hint, unit } = t.car.fields[name];
  return (
    <Field
      label={label}
      hint={hint}
      unit={unit === '' ? undefined : unit}
      width="short"
      inputmode="decimal"
      autocomplete="off"
      {...typedIn(form)(name)}
    />
  );
}

function PresetForm({ address, from }: { address: string; from: string | null }) {
  const names = ['mild', 'club', 'strong'] as const;
  return (
    <>
      <Form action={`${address}#values`} method="get" class="motor-choice">
        <SelectField
          label={t.car.preset}
          name="from"
          width="short"
          value={from ?? 'club'}
          options={names.map((name) => ({ value: name, label: t.choice.names[name] }))}
        />
        <Button kind="quiet">{t.car.fill}</Button>
      </Form>
      <p class="field-hint">{t.choice.preset}</p>
    </>
  );
}

const readings = [
  { name: 'heldV', unit: 'V' },
  { name: 'heldA', unit: 'A' },
  { name: 'freeV', unit: 'V' },
  { name: 'freeA', unit: 'A' },
  { name: 'freeRpm', unit: 'rpm' },
] as const;
const secondReadings = [
  { name: 'free2A', unit: 'A' },
  { name: 'free2Rpm', unit: 'rpm' },
] as const;

function BenchForm({ address, from, bench }: { address: string; from: string | null; bench: FormState }) {
  const w = t.car.bench;
  const field = ({ name, unit }: (typeof readings)[number] | (typeof secondReadings)[number]) => (
    <Field
      key={name}
      label={w[name]}
      unit={unit}
      width="short"
      inputmode="decimal"
      autocomplete="off"
      {...typedIn(bench)(name)}
    />
  );
  return (
    <Section title={w.title} id="bench">
      <p>{w.lead}</p>
      <Form action={`${address}#values`} method="get" hidden={{ from }}>
        {readings.map(field)}
        <p class="field-hint">{w.secondTitle}</p>
        {secondReadings.map(field)}
        <ButtonRow>
          <Button kind="quiet">{w.compute}</Button>
        </ButtonRow>
      </Form>
    </Section>
  );
}
