import type { SessionRow } from '../server/accounts/store.ts';
import { Badge } from './components/badge.tsx';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Form } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { QrCode } from './components/qr-code.tsx';
import { isoDay, shortDate, timeOfDay } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { drivers } from './texts/en/drivers.ts';
import { people as t } from './texts/en/people.ts';
import { urls } from './urls.ts';

interface PeoplePageProps {
  shell: Shell;
  slug: string;
  /** The club's time zone. */
  zone: string;
  now: Date;
  /** Sessions that still run. */
  sessions: readonly SessionRow[];
  /** Of the browser that reads this page. */
  ownTokenHash: string | null;
  /** Whether a session was just ended. */
  ended: boolean;
}

export function PeoplePage({ shell, slug, zone, now, sessions, ownTokenHash, ended }: PeoplePageProps) {
  const place = { zone, locale: shell.lang };
  const today = isoDay(now, zone);
  const when = (at: Date) =>
    isoDay(at, zone) === today ? timeOfDay(at, place) : `${shortDate(at, place)}, ${timeOfDay(at, place)}`;
  const address = urls.inClub(slug, 'people');
  return (
    <Page
      shell={shell}
      title={t.title}
      heading={t.title}
      above={<ClubCrumbs slug={slug} />}
      status={ended ? t.ended : undefined}
    >
      {ended ? <Notice kind="ok">{t.ended}</Notice> : null}
      <p>{t.intro}</p>
      <DataTable
        caption={t.title}
        captionHidden
        rows={sessions}
        rowKey={(session) => session.tokenHash}
        columns={[
          {
            key: 'label',
            head: t.columns.label,
            rowHead: true,
            cell: (session) => (
              <>
                <bdi>{session.label}</bdi> {session.tokenHash === ownTokenHash ? <Badge>{t.thisDevice}</Badge> : null}
                <span class="cell-more">{t.roles[session.role] ?? session.role}</span>
              </>
            ),
          },
          {
            key: 'seen',
            head: t.columns.seen,
            cell: (session) => (
              <>
                {when(session.seenAt)}
                <span class="cell-more">{t.since(when(session.createdAt))}</span>
                {lastsLong(session, now) ? (
                  <span class="cell-more">{t.until(shortDate(session.expiresAt, place))}</span>
                ) : null}
              </>
            ),
          },
          {
            key: 'end',
            head: t.columns.end,
            cell: (session) => (
              <Form action={`${address}/end`} csrf={shell.csrf} hidden={{ session: session.tokenHash }}>
                <Button aria-label={t.endOf(session.label)}>{t.end}</Button>
              </Form>
            ),
          },
        ]}
      />
      <Section title={t.inviteTitle}>
        <p>{t.inviteIntro}</p>
        <Form action={`${address}/invite`} csrf={shell.csrf}>
          <ButtonRow>
            <Button kind="primary" name="role" value="timekeeper">
              {t.inviteTimekeeper}
            </Button>
            <Button name="role" value="director">
              {t.inviteDirector}
            </Button>
          </ButtonRow>
        </Form>
      </Section>
    </Page>
  );
}

/** Whether a device stays signed in beyond the night: worth knowing in a list to tidy up. */
const lastsLong = ({ expiresAt }: SessionRow, now: Date) => expiresAt.getTime() - now.getTime() > 2 * 86_400_000;

interface InvitePageProps {
  shell: Shell;
  slug: string;
  role: 'director' | 'timekeeper';
  /** The whole address, with its code. */
  link: string;
}

/** The answer to an invitation: the one place where its link is shown. */
export function InvitePage({ shell, slug, role, link }: InvitePageProps) {
  const address = urls.inClub(slug, 'people');
  return (
    <Page
      shell={shell}
      title={t.linkTitle[role]}
      heading={t.linkTitle[role]}
      above={<ClubCrumbs slug={slug} items={[{ href: address, label: t.title }]} />}
    >
      <p>{t.linkIntro[role]}</p>
      <QrCode address={link} size="l" />
      <p>{t.linkOnce}</p>
      <Form action={`${address}/invite`} csrf={shell.csrf} hidden={{ role }}>
        <ButtonRow>
          <Button>{t.another}</Button>
          <ButtonLink href={address}>{t.back}</ButtonLink>
        </ButtonRow>
      </Form>
    </Page>
  );
}

interface DriverInvitePageProps {
  shell: Shell;
  slug: string;
  driverId: string;
  nickname: string;
  /** The whole address, with its code. */
  link: string;
}

/** The link for a driver's own device, shown this once. */
export function DriverInvitePage({ shell, slug, driverId, nickname, link }: DriverInvitePageProps) {
  const d = t.device;
  const driver = urls.driver(slug, driverId);
  const above = [
    { href: urls.inClub(slug, 'drivers'), label: drivers.title },
    { href: driver, label: nickname },
  ];
  return (
    <Page
      shell={shell}
      title={d.linkTitle(nickname)}
      heading={<bdi>{d.linkTitle(nickname)}</bdi>}
      above={<ClubCrumbs slug={slug} items={above} />}
    >
      <p>{d.linkIntro(nickname)}</p>
      <QrCode address={link} size="l" />
      <p>{t.linkOnce}</p>
      <ButtonRow>
        <ButtonLink href={driver}>{d.back}</ButtonLink>
        <ButtonLink href={urls.inClub(slug, 'people')}>{t.back}</ButtonLink>
      </ButtonRow>
    </Page>
  );
}

/** On a driver's page for the director: lets the driver's own device in. */
export function OwnDevice({ slug, driverId, csrf }: { slug: string; driverId: string; csrf: string | null }) {
  return (
    <Section title={t.device.title} id="device">
      <p>{t.device.intro}</p>
      <Form action={urls.driver(slug, driverId, 'device')} csrf={csrf}>
        <ButtonRow>
          <Button>{t.device.invite}</Button>
        </ButtonRow>
      </Form>
    </Section>
  );
}
