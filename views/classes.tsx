import type { CarClass } from '../server/drivers/cars-store.ts';
import type { FormState } from '../server/shared/form.ts';
import { ClubListPage } from './club-list.tsx';
import { Archiving } from './components/archiving.tsx';
import { Button, ButtonRow } from './components/button.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { DataTable } from './components/data-table.tsx';
import { Field } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Page, type Shell } from './layout.tsx';
import { classes as t } from './texts/en/cars.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

interface ClassesPageProps {
  shell: Shell;
  slug: string;
  /** All classes, archived ones too. */
  classes: readonly CarClass[];
}

export function ClassesPage({ shell, slug, classes }: ClassesPageProps) {
  const table = (caption: string, some: readonly CarClass[]) => (
    <ClassTable slug={slug} caption={caption} classes={some} />
  );
  return <ClubListPage shell={shell} slug={slug} path="classes" items={classes} words={t} table={table} />;
}

function ClassTable({ slug, caption, classes }: { slug: string; caption: string; classes: readonly CarClass[] }) {
  return (
    <DataTable
      caption={caption}
      captionHidden
      rows={classes}
      rowKey={(one) => one.id}
      columns={[
        {
          key: 'name',
          head: t.columns.name,
          rowHead: true,
          cell: (one) => (
            <a href={urls.carClass(slug, one.id)}>
              <bdi>{one.name}</bdi>
            </a>
          ),
        },
      ]}
    />
  );
}

interface ClassPageProps {
  shell: Shell;
  slug: string;
  /** Null for a new one. */
  carClass: CarClass | null;
  form: FormState;
}

/** The form of a new or a known class. */
export function ClassPage({ shell, slug, carClass, form }: ClassPageProps) {
  const list = urls.inClub(slug, 'classes');
  const title = carClass === null ? t.newTitle : t.editTitle;
  const address = carClass === null ? `${list}/new` : urls.carClass(slug, carClass.id);
  return (
    <Page
      shell={shell}
      title={title}
      heading={title}
      above={<ClubCrumbs slug={slug} items={[{ href: list, label: t.title }]} />}
    >
      <FormErrors errors={form.errors} />
      <Form action={address} csrf={shell.csrf}>
        <Field label={t.name} {...typedIn(form)('name')} required />
        <ButtonRow>
          <Button kind="primary">{carClass === null ? t.create : t.save}</Button>
        </ButtonRow>
      </Form>
      {carClass === null ? null : (
        <Archiving address={address} csrf={shell.csrf} archived={carClass.archivedAt !== null} words={t} />
      )}
    </Page>
  );
}
