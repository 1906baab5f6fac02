import { ButtonLink } from './components/button.tsx';
import { Notice } from './components/notice.tsx';
import { Page, type Shell } from './layout.tsx';
import { errors } from './texts/en/errors.ts';

/** A request that did not work, as a page. */
export function FailurePage({ shell, sentence }: { shell: Shell; sentence: string }) {
  return (
    <Page shell={shell} title={errors.title} heading={errors.title} kind="plain">
      <FailureFragment sentence={sentence} />
      <p>
        <ButtonLink href={shell.home}>{errors.backHome}</ButtonLink>
      </p>
    </Page>
  );
}

/** The same as a piece of a page, for htmx. */
export function FailureFragment({ sentence }: { sentence: string }) {
  return <Notice kind="danger">{sentence}</Notice>;
}
