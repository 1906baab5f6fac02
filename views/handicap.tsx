import type { Entry, Meeting, Race } from '../server/meetings/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { Button } from './components/button.tsx';
import { EmptyState } from './components/content.tsx';
import { Field } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Page, type Shell } from './layout.tsx';
import { handicap as t } from './texts/en/handicap.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

interface HandicapPageProps {
  shell: Shell;
  slug: string;
  meeting: Meeting;
  race: Race;
  /** In the order of sign-up. */
  entries: readonly Entry[];
  form: FormState;
  /** Name of the field of the entry at a place in that order. */
  delayField: (place: number) => string;
}

/** How long after the start each driver of a race starts. */
export function HandicapPage({ shell, slug, meeting, race, entries, form, delayField }: HandicapPageProps) {
  const field = typedIn(form);
  const rotation = urls.race(slug, meeting.id, race.id, 'rotation');
  return (
    <Page shell={shell} title={t.title} heading={t.title} above={<a href={rotation}>{`${race.name}: ${t.back}`}</a>}>
      <FormErrors errors={form.errors} />
      <p>{t.intro}</p>
      <p>{t.scope}</p>
      {entries.length === 0 ? (
        <EmptyState title={t.nobody} />
      ) : (
        <Form action={urls.race(slug, meeting.id, race.id, 'handicap')} csrf={shell.csrf}>
          {entries.map(({ id, nickname }, i) => (
            <Field
              key={id}
              label={t.delay(nickname)}
              {...field(delayField(i), '0')}
              unit={t.unit}
              width="number"
              inputmode="decimal"
              autocomplete="off"
            />
          ))}
          <Button kind="primary">{t.save}</Button>
        </Form>
      )}
    </Page>
  );
}
