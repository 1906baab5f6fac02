import type { ComponentChildren } from 'preact';
import type { FormState } from '../server/shared/form.ts';
import { FormErrors } from './components/form-errors.tsx';
import { Page, type Shell } from './layout.tsx';
import { UnitCrumbs } from './unit-crumbs.tsx';

interface UnitSubpageProps {
  shell: Shell;
  slug: string;
  unit: { id: string; name: string };
  /** Title and heading; may hold names. */
  title: string;
  /** What is wrong with the page's form, where it has one. */
  errors?: FormState['errors'] | undefined;
  scripts?: readonly string[] | undefined;
  children: ComponentChildren;
}

/** A page below one controller unit: the way back to it and to the list, a heading, and what is wrong. */
export function UnitSubpage({ shell, slug, unit, title, errors = {}, scripts, children }: UnitSubpageProps) {
  return (
    <Page
      shell={shell}
      title={title}
      heading={<bdi>{title}</bdi>}
      above={<UnitCrumbs slug={slug} role={shell.role} unit={unit} />}
      scripts={scripts}
    >
      <FormErrors errors={errors} />
      {children}
    </Page>
  );
}
