import type { Role } from '../server/accounts/roles.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Form } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { Page, type Shell } from './layout.tsx';
import { clubs as t } from './texts/en/clubs.ts';

/** Where a one-time link leads: one button, so that a link preview cannot use the link up. */
export function EnterPage({ shell, role, code }: { shell: Shell; role: Role | null; code: string }) {
  return (
    <Page shell={shell} title={t.enter.title} heading={t.enter.title} kind="plain">
      {role === null ? (
        <>
          <Notice kind="warning">{t.enter.used}</Notice>
          <ButtonRow>
            <ButtonLink href={shell.home}>{t.enter.toClub}</ButtonLink>
          </ButtonRow>
        </>
      ) : (
        <>
          <p>{role === 'director' ? t.enter.director : t.enter.timekeeper}</p>
          <Form action={shell.path} csrf={shell.csrf} hidden={{ code }}>
            <Button kind="primary">{t.enter.go}</Button>
          </Form>
        </>
      )}
    </Page>
  );
}
