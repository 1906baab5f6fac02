import { ButtonLink } from './components/button.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { Section } from './components/content.tsx';
import { Notice } from './components/notice.tsx';
import { Page, type Shell } from './layout.tsx';
import { devices as t } from './texts/en/devices.ts';
import { urls } from './urls.ts';

interface TokenPageProps {
  shell: Shell;
  slug: string;
  sensor: { trackId: string; id: string; name: string; bits: number };
  token: string;
  /** Whole addresses, as the sensor reaches them. */
  crossingsUrl: string;
  heartbeatUrl: string;
}

/** The one page that shows a token, with a line to try it. */
export function TokenPage({ shell, slug, sensor, token, crossingsUrl, heartbeatUrl }: TokenPageProps) {
  const device = urls.device(slug, sensor.trackId, sensor.id);
  const clock = { boot: 'b1', bits: sensor.bits, sent_us: 2_000_000 };
  return (
    <Page
      shell={shell}
      title={t.tokenTitle(sensor.name)}
      heading={<bdi>{t.tokenTitle(sensor.name)}</bdi>}
      above={<ClubCrumbs slug={slug} items={[{ href: urls.inClub(slug, 'devices'), label: t.title }]} />}
    >
      <Notice kind="warning">{t.tokenOnce}</Notice>
      <CodeBlock label={t.token} text={token} />
      <Section title={t.tryIt}>
        <p>{t.tryItIntro}</p>
        <CodeBlock
          label={t.tryIt}
          text={curlLine(crossingsUrl, token, { ...clock, events: [{ seq: 1, lane: 1, t_us: 1_000_000 }] })}
        />
        <p>{t.heartbeatLine}</p>
        <CodeBlock
          label={t.heartbeatLine}
          text={curlLine(heartbeatUrl, token, { ...clock, buffered: 0, rtt_us: null })}
        />
      </Section>
      <Section title={t.contract}>
        <ul>
          {t.contractLines.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
        <p>
          <ButtonLink href={device}>{t.toDevice}</ButtonLink>
        </p>
      </Section>
      <Cautions />
    </Page>
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

function curlLine(url: string, token: string, body: object): string {
  return `curl ${url} -H 'Authorization: Bearer ${token}' -H 'Content-Type: application/json' -d '${JSON.stringify(body)}'`;
}

/** What to mind before wires are laid. */
export function Cautions() {
  return (
    <Section title={t.cautionsTitle} id="cautions">
      <ul>
        {t.cautions.map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
    </Section>
  );
}
