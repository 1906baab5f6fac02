import { ButtonLink } from './components/button.tsx';
import { Section } from './components/content.tsx';
import { Notice } from './components/notice.tsx';
import type { Shell } from './layout.tsx';
import { units as t } from './texts/en/units.ts';
import { UnitSubpage } from './unit-subpage.tsx';
import { urls } from './urls.ts';

interface UnitTokenPageProps {
  shell: Shell;
  slug: string;
  unit: { id: string; name: string };
  token: string;
  /** Whole address of the unit's door, as the unit reaches it. */
  apiUrl: string;
}

/** The one page that shows a unit's token, with lines to try it. */
export function UnitTokenPage({ shell, slug, unit, token, apiUrl }: UnitTokenPageProps) {
  const ask = (path: string) => `curl ${apiUrl}${path} -H 'Authorization: Bearer ${token}'`;
  return (
    <UnitSubpage shell={shell} slug={slug} unit={unit} title={t.tokenTitle(unit.name)}>
      <Notice kind="warning">{t.tokenOnce}</Notice>
      <CodeBlock label={t.tokenLabel} text={token} />
      <Section title={t.tokenTry}>
        <p>{t.tokenTryIntro}</p>
        <CodeBlock label={t.tokenTry} text={ask('')} />
        <p>{t.tokenProfileIntro}</p>
        <CodeBlock label={t.tokenProfileIntro} text={ask('/profile')} />
        <p>
          <a href={urls.help('units')}>{t.tokenHelp}</a>
        </p>
        <p>
          <ButtonLink href={urls.unit(slug, unit.id)}>{t.toUnit}</ButtonLink>
        </p>
      </Section>
    </UnitSubpage>
  );
}

/** A text to copy as it is. */
function CodeBlock({ label, text }: { label: string; text: string }) {
  return (
    <section class="code-block" aria-label={label}>
      <code>{text}</code>
    </section>
  );
}
