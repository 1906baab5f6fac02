import type { Meeting } from '../server/meetings/store.ts';
import type { Screen } from '../server/night/wall-schemas.ts';
import { Button, ButtonRow } from './components/button.tsx';
import { Choice } from './components/choice.tsx';
import { Field } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { Page, type Shell } from './layout.tsx';
import { wall as t } from './texts/en/wall.ts';
import { urls } from './urls.ts';

interface WallSetupProps {
  shell: Shell;
  slug: string;
  meeting: Meeting;
  screen: Screen;
}

/** How large the screen is and who must be able to read it. */
export function WallSetup({ shell, slug, meeting, screen }: WallSetupProps) {
  return (
    <Page
      shell={shell}
      title={t.setup.title}
      above={<a href={urls.meeting(slug, meeting.id, 'programme')}>{meeting.name}</a>}
      heading={t.setup.title}
    >
      <p>{t.setup.intro}</p>
      <Form action={urls.meeting(slug, meeting.id, 'wall')} method="get">
        <Field
          label={t.setup.inches}
          name="in"
          type="number"
          min={5}
          max={300}
          step="any"
          unit={t.setup.inchesUnit}
          value={screen.in}
        />
        <Field
          label={t.setup.metres}
          name="m"
          type="number"
          min={0.5}
          max={50}
          step="any"
          unit={t.setup.metresUnit}
          value={screen.m}
        />
        <Choice
          legend={t.setup.theme}
          name="theme"
          value={screen.theme}
          options={[
            { value: 'hall', label: t.setup.hall },
            { value: 'paper', label: t.setup.paper },
          ]}
        />
        <p>{t.setup.sleep}</p>
        <ButtonRow>
          <Button kind="primary">{t.setup.open}</Button>
        </ButtonRow>
      </Form>
    </Page>
  );
}
