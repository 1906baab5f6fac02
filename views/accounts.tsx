import type { Role } from '../server/accounts/roles.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Form } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { Page, type Shell } from './layout.tsx';
import { clubs as t } from './texts/en/clubs.ts';

interface EnterPageProps {
  shell: Shell;
  /** Whom the link lets in, a driver by name; null for a link that does not work any more. */
  invited: { readonly role: Role; readonly nickname: string | null } | null;
  code: string;
}

/** Where a one-time link leads: one button, so that a link preview cannot use the link up. */
export function EnterPage({ shell, invited, code }: EnterPageProps) {
  const isBusy = invited?.role === 'driver' && (shell.role === 'director' || shell.role === 'timekeeper');
  return (
    <Page shell={shell} title={t.enter.title} heading={t.enter.title} kind="plain">
      {invited === null || isBusy ? (
        <>
          <Notice kind="warning">{isBusy ? t.enter.busy : t.enter.used}</Notice>
          <ButtonRow>
            <ButtonLink href={shell.home}>{t.enter.toClub}</ButtonLink>
          </ButtonRow>
        </>
      ) : (
        <>
          <p>{wordsFor(invited)}</p>
          <Form action={shell.path} csrf={shell.csrf} hidden={{ code }}>
            <Button kind="primary">{t.enter.go}</Button>
          </Form>
        </>
      )}
    </Page>
  );
}

function wordsFor({ role, nickname }: { readonly role: Role; readonly nickname: string | null }): string {
  if (nickname !== null) return t.enter.driver(nickname);
  return role === 'director' ? t.enter.director : t.enter.timekeeper;
}
