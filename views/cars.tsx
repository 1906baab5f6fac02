import type { Car, CarClass, NamedCar } from '../server/drivers/cars-store.ts';
import type { Driver } from '../server/drivers/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { ClubListPage } from './club-list.tsx';
import { Archiving } from './components/archiving.tsx';
import { Button, ButtonRow } from './components/button.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { DataTable } from './components/data-table.tsx';
import { Field, type Option, SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Page, type Shell } from './layout.tsx';
import { cars as t } from './texts/en/cars.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

interface CarsPageProps {
  shell: Shell;
  slug: string;
  /** All cars, archived ones too. */
  cars: readonly NamedCar[];
}

export function CarsPage({ shell, slug, cars }: CarsPageProps) {
  const table = (caption: string, some: readonly NamedCar[]) => <CarTable slug={slug} caption={caption} cars={some} />;
  return <ClubListPage shell={shell} slug={slug} path="cars" items={cars} words={t} table={table} />;
}

function CarTable({ slug, caption, cars }: { slug: string; caption: string; cars: readonly NamedCar[] }) {
  return (
    <DataTable
      caption={caption}
      captionHidden
      rows={cars}
      rowKey={(car) => car.id}
      columns={[
        {
          key: 'name',
          head: t.columns.name,
          rowHead: true,
          cell: (car) => (
            <a href={urls.car(slug, car.id)}>
              <bdi>{car.name}</bdi>
            </a>
          ),
        },
        { key: 'class', head: t.columns.carClass, cell: (car) => <bdi>{car.className ?? t.noClass}</bdi> },
        { key: 'driver', head: t.columns.driver, cell: (car) => <bdi>{car.driverNickname ?? t.clubCar}</bdi> },
      ]}
    />
  );
}

interface CarPageProps {
  shell: Shell;
  slug: string;
  /** Null for a new one. */
  car: Car | null;
  form: FormState;
  /** All of them, archived ones too: only the one chosen before is then offered. */
  classes: readonly CarClass[];
  drivers: readonly Driver[];
}

/** The form of a new or a known car. */
export function CarPage({ shell, slug, car, form, classes, drivers }: CarPageProps) {
  const field = typedIn(form);
  const list = urls.inClub(slug, 'cars');
  const title = car === null ? t.newTitle : t.editTitle;
  const address = car === null ? `${list}/new` : urls.car(slug, car.id);
  return (
    <Page
      shell={shell}
      title={title}
      heading={title}
      above={<ClubCrumbs slug={slug} items={[{ href: list, label: t.title }]} />}
    >
      <FormErrors errors={form.errors} />
      <Form action={address} csrf={shell.csrf}>
        <Field label={t.name} hint={t.nameHint} {...field('name')} required />
        <SelectField
          label={t.carClass}
          {...field('carClass')}
          blank={t.noClass}
          options={choices(classes, car?.classId ?? null, (one) => one.name)}
          optional
        />
        <SelectField
          label={t.driver}
          {...field('driver')}
          blank={t.noDriver}
          options={choices(drivers, car?.driverId ?? null, (one) => one.nickname)}
          optional
        />
        <ButtonRow>
          <Button kind="primary">{car === null ? t.create : t.save}</Button>
        </ButtonRow>
      </Form>
      {car === null ? null : (
        <p>
          <a href={`${address}/motor`}>{t.motor}</a>
        </p>
      )}
      {car === null ? null : (
        <Archiving address={address} csrf={shell.csrf} archived={car.archivedAt !== null} words={t} />
      )}
    </Page>
  );
}

function choices<Row extends { id: string; archivedAt: Date | null }>(
  rows: readonly Row[],
  chosen: string | null,
  nameOf: (row: Row) => string,
): Option[] {
  return rows
    .filter((row) => row.archivedAt === null || row.id === chosen)
    .map((row) => ({
      value: row.id,
      label: row.archivedAt === null ? nameOf(row) : t.archivedChoice(nameOf(row)),
    }));
}
