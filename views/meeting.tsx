import type { RaceProgress } from '../server/meetings/progress-store.ts';
import type { Entry, Meeting, Race } from '../server/meetings/store.ts';
import { Badge } from './components/badge.tsx';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Breadcrumbs, Card, Cards, DefinitionList, EmptyState, Section } from './components/content.tsx';
import { Form, HiddenFields } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { QrCode } from './components/qr-code.tsx';
import { lapTime } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { MeetingLine } from './meetings.tsx';
import { raceWords } from './races.tsx';
import { meetings as t } from './texts/en/meetings.ts';
import { tracks as trackWords } from './texts/en/tracks.ts';
import { urls } from './urls.ts';

interface MeetingPageProps {
  shell: Shell;
  slug: string;
  meeting: Meeting;
  races: readonly Race[];
  entries: readonly Entry[];
  progress: ReadonlyMap<string, RaceProgress>;
  /** Whole addresses for other devices; null when joining is closed, or nothing is public. */
  joinAddress: string | null;
  publicAddress: string | null;
}

/** The director's page of a meeting: everything about the night one step away. */
export function MeetingPage(props: MeetingPageProps) {
  const { shell, slug, meeting, races } = props;
  const newRace = (
    <ButtonLink kind={races.length === 0 ? 'primary' : 'quiet'} href={urls.meeting(slug, meeting.id, 'races/new')}>
      {t.page.newRace}
    </ButtonLink>
  );
  return (
    <Page
      shell={shell}
      title={meeting.name}
      heading={<bdi>{meeting.name}</bdi>}
      above={
        <>
          <Breadcrumbs items={[{ href: urls.inClub(slug, 'meetings'), label: t.list.title }]} />
          <MeetingLine meeting={meeting} lang={shell.lang} />
        </>
      }
    >
      {meeting.archivedAt === null ? null : <Notice kind="info">{t.page.archivedNote}</Notice>}
      <Screens slug={slug} meeting={meeting} />
      <Section title={t.page.racesTitle} id="races" aside={races.length === 0 ? undefined : newRace}>
        {races.length === 0 ? (
          <EmptyState title={t.page.noRacesTitle} action={newRace}>
            {t.page.noRaces}
          </EmptyState>
        ) : (
          <Cards>
            {races.map((race, i) => (
              <RaceCard key={race.id} {...props} race={race} first={i === 0} />
            ))}
          </Cards>
        )}
      </Section>
      <Joining {...props} />
      <Night slug={slug} meeting={meeting} />
      <Publishing {...props} />
      <Section title={t.page.moreTitle}>
        <ButtonRow>
          <ButtonLink href={urls.meeting(slug, meeting.id, 'edit')}>{t.page.edit}</ButtonLink>
          <ButtonLink href={urls.meeting(slug, meeting.id, 'copy')}>{t.page.copy}</ButtonLink>
        </ButtonRow>
      </Section>
    </Page>
  );
}

function Screens({ slug, meeting }: { slug: string; meeting: Meeting }) {
  const to = (path: string, words: string) => (
    <ButtonLink href={urls.meeting(slug, meeting.id, path)}>{words}</ButtonLink>
  );
  return (
    <nav class="button-row" aria-label={t.page.linksTitle}>
      {to('control', t.tonight.control)}
      {to('timekeeper', t.tonight.timekeeper)}
      {to('wall', t.tonight.wall)}
      {to('programme', t.tonight.programme)}
      {to('results', t.tonight.results)}
    </nav>
  );
}

function RaceCard({
  shell,
  slug,
  meeting,
  race,
  entries,
  progress,
  first,
}: MeetingPageProps & { race: Race; first: boolean }) {
  const own = entries.filter((entry) => entry.raceId === race.id);
  const gone = own.filter((entry) => entry.withdrawnAt !== null).length;
  const to = (path: string) => urls.race(slug, meeting.id, race.id, path);
  return (
    <Card
      title={<bdi>{race.name}</bdi>}
      aside={
        <Badge>
          <bdi>{race.className}</bdi>
        </Badge>
      }
    >
      <p>{raceWords(race)}</p>
      <p>
        {t.page.entries(own.length - gone, gone)}, {t.page.heats(progress.get(race.id)?.heats ?? 0)}
      </p>
      <div class="button-row">
        <ButtonLink href={to('entries')} aria-label={t.page.of(t.page.people, race.name)}>
          {t.page.people}
        </ButtonLink>
        <ButtonLink href={to('rotation')} aria-label={t.page.of(t.page.rotation, race.name)}>
          {t.page.rotation}
        </ButtonLink>
        <ButtonLink href={to('edit')} aria-label={t.page.of(t.page.raceSettings, race.name)}>
          {t.page.raceSettings}
        </ButtonLink>
        {first ? null : (
          <Form action={to('earlier')} csrf={shell.csrf}>
            <Button aria-label={t.page.of(t.page.earlier, race.name)}>{t.page.earlier}</Button>
          </Form>
        )}
      </div>
    </Card>
  );
}

function Joining({ shell, slug, meeting, joinAddress }: MeetingPageProps) {
  const action = urls.meeting(slug, meeting.id, 'joining');
  return (
    <Section title={t.page.joinTitle} id="joining">
      {joinAddress === null ? (
        <p>{t.page.joinClosed}</p>
      ) : (
        <>
          <p>{t.page.joinOpen}</p>
          <QrCode address={joinAddress} code={meeting.joinCode ?? undefined} />
          <p>{t.page.newCodeHint}</p>
        </>
      )}
      {meeting.archivedAt !== null ? null : (
        <Form action={action} csrf={shell.csrf}>
          <ButtonRow>
            {joinAddress === null ? (
              <Button name="joining" value="open">
                {t.page.openJoining}
              </Button>
            ) : (
              <>
                <Button name="joining" value="new">
                  {t.page.newCode}
                </Button>
                <Button name="joining" value="close">
                  {t.page.closeJoining}
                </Button>
              </>
            )}
          </ButtonRow>
        </Form>
      )}
    </Section>
  );
}

function Night({ slug, meeting }: { slug: string; meeting: Meeting }) {
  const { startMode, holdRollUs, endRollUs, lanes } = meeting.trackSettings;
  const seconds = (us: number) => t.page.seconds(lapTime(us, 1));
  const same = lanes.every((one) => one.minLapUs === lanes[0]?.minLapUs);
  const laps = (same ? lanes.slice(0, 1) : lanes).map(({ lane, minLapUs }) => ({
    label: same ? t.page.minLapAll : t.page.minLap(lane),
    value: seconds(minLapUs),
    numeric: true,
  }));
  return (
    <Section
      title={t.page.nightTitle}
      id="night"
      aside={<ButtonLink href={urls.meeting(slug, meeting.id, 'night')}>{t.page.changeNight}</ButtonLink>}
    >
      <DefinitionList
        items={[
          { label: t.page.start, value: trackWords.startModes[startMode].short },
          { label: t.page.holdRoll, value: seconds(holdRollUs), numeric: true },
          { label: t.page.endRoll, value: seconds(endRollUs), numeric: true },
          ...laps,
        ]}
      />
    </Section>
  );
}

function Publishing({ shell, slug, meeting, publicAddress }: MeetingPageProps) {
  return (
    <Section title={t.page.publishTitle} id="publishing">
      <p>{publicAddress === null ? t.page.publishOff : t.page.publishOn}</p>
      {publicAddress === null ? null : <QrCode address={publicAddress} />}
      <Form action={urls.meeting(slug, meeting.id, 'publish')} csrf={shell.csrf}>
        <HiddenFields values={{ published: publicAddress === null ? 'yes' : 'no' }} />
        <Button>{publicAddress === null ? t.page.publish : t.page.unpublish}</Button>
      </Form>
    </Section>
  );
}
