import type { AdviceRow } from '../server/profiles/advice/rows.ts';
import { Button, ButtonRow } from './components/button.tsx';
import { Choice } from './components/choice.tsx';
import { Section } from './components/content.tsx';
import { Form } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { advice as t } from './texts/en/advice.ts';

type SectionName = keyof typeof t.sections;

interface AdviceChoiceProps {
  action: string;
  /** Rows by section, in the order of the page. */
  sections: Readonly<Record<SectionName, readonly AdviceRow[]>>;
  row: AdviceRow | null;
}

/** What drivers complain of, by where they notice it. Folded once something is chosen. */
export function AdviceChoice({ action, sections, row }: AdviceChoiceProps) {
  return (
    <details id="complaints" open={row === null}>
      <summary>{row === null ? t.what : t.another}</summary>
      <Form action={`${action}#answer`} method="get">
        {(Object.keys(sections) as SectionName[]).map((section) => (
          <Choice
            key={section}
            legend={t.sections[section]}
            name="row"
            id={`row-${section}`}
            value={row}
            options={sections[section].map((value) => ({ value, label: t.rows[value].says }))}
          />
        ))}
        <ButtonRow>
          <Button kind="primary">{t.show}</Button>
        </ButtonRow>
      </Form>
    </details>
  );
}

interface AdviceHintsProps {
  row: AdviceRow;
  /** Whether a change of the controller stands above. */
  proposes: boolean;
}

/** What else to look at, and what goes wrong with the advice. */
export function AdviceHints({ row, proposes }: AdviceHintsProps) {
  const words = t.rows[row];
  return (
    <>
      <h3>{proposes ? t.look : t.lookFirst}</h3>
      <ul>
        {words.look.map((what) => (
          <li key={what}>{what}</li>
        ))}
      </ul>
      {'beware' in words ? (
        <Notice kind="warning" title={t.beware}>
          {words.beware}
        </Notice>
      ) : null}
      {'creepTest' in words ? (
        <>
          <h3>{t.creepTest}</h3>
          <p>{t.creepTestText}</p>
        </>
      ) : null}
    </>
  );
}

/** What comes before any knob. */
export function CarFirst() {
  return (
    <Section title={t.first} id="first">
      <ul>
        {t.firstList.map((what) => (
          <li key={what}>{what}</li>
        ))}
      </ul>
    </Section>
  );
}

/** How to tell whether a change helped. */
export function HowToTry() {
  return (
    <Section title={t.howTo} id="how">
      <p>{t.howToText}</p>
    </Section>
  );
}
