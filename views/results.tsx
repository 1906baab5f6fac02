import type { PresentedMeeting } from '../server/results/presented.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { DefinitionList, EmptyState, Section } from './components/content.tsx';
import { Form } from './components/form.tsx';
import type { LaneLook } from './components/lane-defaults.ts';
import { Notice } from './components/notice.tsx';
import { QrCode } from './components/qr-code.tsx';
import { Page, type Shell } from './layout.tsx';
import type { ResultLinks } from './result-links.ts';
import { dayWords } from './result-words.ts';
import { RaceResults } from './results-race.tsx';
import { handicap } from './texts/en/handicap.ts';
import { results as t } from './texts/en/results.ts';

/** What all results pages of a meeting are made of. */
export type ResultsData = PresentedMeeting & {
  lookOf: (lane: number) => LaneLook;
  links: ResultLinks;
  /** The result as plain text. */
  text: string;
};

/** Public results: whether there are any, where, and for the director the form that changes it. */
export type Publishing = {
  published: boolean;
  /** The whole public address. */
  address: string;
  /** For the director: where the form goes, and the meeting's own page. */
  director: { action: string; meetingPage: string } | null;
};

type ResultsPageProps = ResultsData & {
  shell: Shell;
  publishing: Publishing;
  /** One sentence about what was just done. */
  done: string | null;
  /** Heats that a director may want to look at again; nobody else is told. */
  surprises: readonly { race: string; number: number }[];
};

/** The results of a meeting inside the club. */
export function ResultsPage({ shell, publishing, done, surprises, ...data }: ResultsPageProps) {
  return (
    <Page
      shell={shell}
      title={t.title(data.meeting.name)}
      above={t.above}
      heading={<bdi>{data.meeting.name}</bdi>}
      kind="wide"
      status={done ?? undefined}
    >
      {done ? <Notice kind="ok">{done}</Notice> : null}
      {surprises.length > 0 ? (
        <Notice kind="info">
          {handicap.resultsNote(surprises.map(({ race, number }) => handicap.heatOf(race, number)).join(', '))}
        </Notice>
      ) : null}
      <ResultsBody {...data} lang={shell.lang} />
      <PublicSection publishing={publishing} csrf={shell.csrf} />
    </Page>
  );
}

/** Everything that public and club pages have in common. */
export function ResultsBody({ lang, ...data }: ResultsData & { lang: string }) {
  const { meeting, report } = data;
  return (
    <>
      <DefinitionList
        items={[
          { label: t.day, value: <time datetime={meeting.date}>{dayWords(meeting.date, lang)}</time> },
          { label: t.track, value: <bdi>{meeting.trackName}</bdi> },
        ]}
      />
      {report.races.length === 0 ? <EmptyState title={t.noRaces} /> : null}
      {report.races.map((race, i) => (
        <RaceResults key={race.race.id} {...data} index={i + 1} race={race} lang={lang} />
      ))}
      <TakeAway {...data} />
    </>
  );
}

function TakeAway({ links, report, text }: ResultsData) {
  return (
    <Section title={t.take.title} id="take">
      <details class="results-copy">
        <summary>{t.take.copyTitle}</summary>
        <pre id="result-text">{text}</pre>
        <button class="button button-quiet" type="button" data-copy="#result-text" data-copied={t.take.copied} hidden>
          {t.take.copy}
        </button>
      </details>
      <ul class="results-files">
        <li>
          <a href={links.text}>{t.take.asText}</a>
        </li>
        {report.races.map(({ race }) => (
          <li key={race.id}>
            <a href={links.resultsCsv(race.id)}>{t.take.csv(race.name)}</a>
          </li>
        ))}
        {report.races.map(({ race }) => (
          <li key={race.id}>
            <a href={links.lapsCsv(race.id)}>{t.take.lapsCsv(race.name)}</a>
          </li>
        ))}
        <li>
          <a href={links.json}>{t.take.asJson}</a>
        </li>
        {links.log ? (
          <li>
            <a href={links.log}>{t.take.asLog}</a>
          </li>
        ) : null}
      </ul>
      <p class="results-hint">
        {t.take.csvHint} {t.take.print}
      </p>
    </Section>
  );
}

function PublicSection({ publishing, csrf }: { publishing: Publishing; csrf: string | null }) {
  const { published, address, director } = publishing;
  if (!published && director === null) return null;
  return (
    <Section title={t.public.title} id="public">
      <p>{published ? t.public.on : t.public.off}</p>
      {published ? <QrCode address={address} /> : null}
      {director ? (
        <>
          <p>{t.public.names}</p>
          <Form action={director.action} csrf={csrf} hidden={{ published: published ? 'no' : 'yes' }}>
            <ButtonRow>
              <Button>{published ? t.public.unpublish : t.public.publish}</Button>
              <ButtonLink href={director.meetingPage}>{t.public.settings}</ButtonLink>
            </ButtonRow>
          </Form>
        </>
      ) : null}
    </Section>
  );
}
