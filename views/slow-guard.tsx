import type { FormState } from '../server/shared/form.ts';
import { Button, ButtonRow } from './components/button.tsx';
import { Checkbox } from './components/choice.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { Field } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Page, type Shell } from './layout.tsx';
import { slowGuard as t } from './texts/en/slow-guard.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

interface SlowGuardPageProps {
  shell: Shell;
  slug: string;
  form: FormState;
}

/** How far the handicaps of a club follow slowness. */
export function SlowGuardPage({ shell, slug, form }: SlowGuardPageProps) {
  const field = typedIn(form);
  const percent = { unit: t.unit, width: 'number', inputmode: 'decimal', autocomplete: 'off' } as const;
  return (
    <Page shell={shell} title={t.title} heading={t.title} above={<ClubCrumbs slug={slug} />}>
      <FormErrors errors={form.errors} />
      <p>{t.intro}</p>
      <Form action={urls.inClub(slug, 'pace/slow')} csrf={shell.csrf}>
        <Checkbox label={t.on} hint={t.onHint} name="on" checked={form.typed.on !== undefined} />
        <Field label={t.margin} hint={t.marginHint} {...field('margin')} {...percent} />
        <Field label={t.soft} hint={t.softHint} {...field('soft')} {...percent} />
        <Field label={t.hard} hint={t.hardHint} {...field('hard')} {...percent} />
        <ButtonRow>
          <Button kind="primary">{t.save}</Button>
        </ButtonRow>
      </Form>
    </Page>
  );
}
