import type { FormState } from '../server/shared/form.ts';
import { Button } from './components/button.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { Field } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Page, type Shell } from './layout.tsx';
import { importing as t } from './texts/en/import.ts';
import { urls } from './urls.ts';

interface ImportPageProps {
  shell: Shell;
  form: FormState;
  slug: string;
}

/** Opens a meeting log: one file, taken in whole or not at all. */
export function ImportPage({ shell, form, slug }: ImportPageProps) {
  return (
    <Page shell={shell} title={t.title} heading={t.title} above={<ClubCrumbs slug={slug} />}>
      <FormErrors errors={form.errors} />
      <p>{t.intro}</p>
      <p>{t.what}</p>
      <Form action={urls.inClub(slug, 'import')} csrf={shell.csrf} enctype="multipart/form-data">
        <Field
          label={t.file}
          hint={t.fileHint}
          name="log"
          type="file"
          accept=".jsonl,application/x-ndjson"
          error={form.errors.log}
          required
        />
        <Button kind="primary">{t.open}</Button>
      </Form>
    </Page>
  );
}
