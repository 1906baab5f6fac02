import type { FormState } from '../server/shared/form.ts';
import type { NamedUnit } from '../server/units/store.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { EmptyState, Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Field, type Option, SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Page, type Shell } from './layout.tsx';
import { units as t } from './texts/en/units.ts';
import { typedIn } from './typed.ts';
import { UnitCrumbs } from './unit-crumbs.tsx';
import { urls } from './urls.ts';

/** Whom a unit can be given to. */
export interface Holders {
  readonly drivers: readonly { id: string; nickname: string }[];
  readonly tracks: readonly { id: string; name: string; lanes: readonly number[] }[];
}

/** In words whose a unit is. */
export function holderWords({ driverNickname, trackName, lane }: NamedUnit): string {
  if (driverNickname !== null) return driverNickname;
  return trackName === null || lane === null ? t.club : t.ofLane(trackName, lane);
}

interface UnitsPageProps {
  shell: Shell;
  slug: string;
  /** Archived ones too; those that the visitor may hold. */
  units: readonly NamedUnit[];
  /** Ids of those with a valid calibration. */
  calibrated: ReadonlySet<string>;
}

export function UnitsPage({ shell, slug, units, calibrated }: UnitsPageProps) {
  const inUse = units.filter(({ archivedAt }) => archivedAt === null);
  const archived = units.filter(({ archivedAt }) => archivedAt !== null);
  const add = (
    <ButtonLink kind="primary" href={urls.inClub(slug, 'units/new')}>
      {t.add}
    </ButtonLink>
  );
  return (
    <Page
      shell={shell}
      title={t.title}
      heading={t.title}
      above={shell.role === 'director' ? <ClubCrumbs slug={slug} /> : null}
      aside={add}
    >
      {inUse.length === 0 ? (
        <EmptyState title={t.none}>{t.noneIntro}</EmptyState>
      ) : (
        <>
          <p>{t.intro}</p>
          <UnitTable {...{ slug, calibrated }} caption={t.title} units={inUse} />
        </>
      )}
      {archived.length === 0 ? null : (
        <Section title={t.archived}>
          <p>{t.archivedIntro}</p>
          <UnitTable {...{ slug, calibrated }} caption={t.archived} units={archived} />
        </Section>
      )}
    </Page>
  );
}

interface UnitTableProps {
  slug: string;
  caption: string;
  units: readonly NamedUnit[];
  calibrated: ReadonlySet<string>;
}

function UnitTable({ slug, caption, units, calibrated }: UnitTableProps) {
  return (
    <DataTable
      caption={caption}
      captionHidden
      rows={units}
      rowKey={({ id }) => id}
      columns={[
        {
          key: 'name',
          head: t.columns.name,
          rowHead: true,
          cell: ({ id, name }) => (
            <a href={urls.unit(slug, id)}>
              <bdi>{name}</bdi>
            </a>
          ),
        },
        { key: 'holder', head: t.columns.holder, cell: (unit) => <bdi>{holderWords(unit)}</bdi> },
        {
          key: 'calibration',
          head: t.columns.calibration,
          cell: ({ id }) => (calibrated.has(id) ? t.valid : t.noneValid),
        },
      ]}
    />
  );
}

interface NewUnitPageProps {
  shell: Shell;
  slug: string;
  form: FormState;
  /** Null for drivers: a unit they add is theirs. */
  holders: Holders | null;
}

export function NewUnitPage({ shell, slug, form, holders }: NewUnitPageProps) {
  return (
    <Page shell={shell} title={t.newTitle} heading={t.newTitle} above={<UnitCrumbs slug={slug} role={shell.role} />}>
      <FormErrors errors={form.errors} />
      <Form action={urls.inClub(slug, 'units/new')} csrf={shell.csrf} commandId={shell.commandId}>
        <UnitFields form={form} holders={holders} />
        <ButtonRow>
          <Button kind="primary">{t.create}</Button>
        </ButtonRow>
      </Form>
    </Page>
  );
}

export function UnitFields({ form, holders }: Pick<NewUnitPageProps, 'form' | 'holders'>) {
  const field = typedIn(form);
  return (
    <>
      <Field label={t.name} hint={t.nameHint} {...field('name')} required />
      {holders === null ? null : (
        <SelectField label={t.holder} hint={t.holderHint} {...field('holder')} options={holderOptions(holders)} />
      )}
    </>
  );
}

function holderOptions({ drivers, tracks }: Holders): Option[] {
  return [
    { value: '', label: t.club },
    ...drivers.map(({ id, nickname }) => ({ value: `driver:${id}`, label: nickname })),
    ...tracks.flatMap(({ id, name, lanes }) =>
      lanes.map((lane) => ({ value: `lane:${id}:${lane}`, label: t.ofLane(name, lane) })),
    ),
  ];
}
