import { Button, ButtonRow } from './components/button.tsx';
import { Section } from './components/content.tsx';
import { Form } from './components/form.tsx';
import { handicap } from './texts/en/handicap.ts';
import { urls } from './urls.ts';

const t = handicap.reset;

interface PaceResetProps {
  slug: string;
  driver: { id: string; paceResetAt: Date | null };
  csrf: string | null;
}

/** The director forgives what was quicker before. */
export function PaceReset({ slug, driver, csrf }: PaceResetProps) {
  return (
    <Section title={t.title} id="pace-reset">
      <p>{t.text}</p>
      {driver.paceResetAt === null ? null : <p>{t.done(driver.paceResetAt.toISOString().slice(0, 10))}</p>}
      <Form action={urls.driver(slug, driver.id, 'pace-reset')} csrf={csrf}>
        <ButtonRow>
          <Button>{t.button}</Button>
        </ButtonRow>
      </Form>
    </Section>
  );
}
