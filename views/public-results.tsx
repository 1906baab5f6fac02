import { Section } from './components/content.tsx';
import { QrCode } from './components/qr-code.tsx';
import { Page, type Shell } from './layout.tsx';
import { ResultsBody, type ResultsData } from './results.tsx';
import { results as t } from './texts/en/results.ts';

type PublicResultsPageProps = ResultsData & {
  shell: Shell;
  /** The page's own whole address. */
  address: string;
};

/** The results of a meeting for whoever has their address: no way into the club. */
export function PublicResultsPage({ shell, address, ...data }: PublicResultsPageProps) {
  return (
    <Page
      shell={shell}
      title={t.title(data.meeting.name)}
      above={t.above}
      heading={<bdi>{data.meeting.name}</bdi>}
      kind="wide"
    >
      <ResultsBody {...data} lang={shell.lang} />
      <Section title={t.public.address} id="public">
        <QrCode address={address} />
      </Section>
    </Page>
  );
}
