import type { Reliability } from '../server/pace/promise.ts';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { EmptyState, Section } from './components/content.tsx';
import { Notice } from './components/notice.tsx';
import { ReliabilityDiagram } from './components/reliability.tsx';
import { Page, type Shell } from './layout.tsx';
import { rounded, wholePercent } from './pace-numbers.ts';
import { pacePromise as t } from './texts/en/pace-promise.ts';

/** Heats from which on the figures say something. */
const enoughHeats = 20;

/** Chances that were told, held against what happened; for the director. */
export function PromisePage({ shell, slug, kept }: { shell: Shell; slug: string; kept: Reliability }) {
  return (
    <Page shell={shell} title={t.title} heading={t.title} above={<ClubCrumbs slug={slug} />}>
      <div class="pace-words">
        <p>{t.intro}</p>
        <p>{t.private}</p>
      </div>
      {kept.heats === 0 ? <EmptyState title={t.none} /> : <Kept kept={kept} />}
    </Page>
  );
}

function Kept({ kept: { heats, starts, bins, brier, brierEven } }: { kept: Reliability }) {
  const off = bins.filter(({ told, low, high }) => told < low || told > high).length;
  return (
    <>
      {heats < enoughHeats ? <Notice kind="info">{t.few(heats, enoughHeats)}</Notice> : null}
      <Section title={t.wordsTitle}>
        <div class="pace-words">
          {heats < enoughHeats ? null : <p class="pace-lead">{off === 0 ? t.kept : t.off(off, bins.length)}</p>}
          <ul>
            {bins.map(({ from, told, rate, starts: count }) => (
              <li key={from}>{t.said(wholePercent(told), wholePercent(rate), count)}</li>
            ))}
          </ul>
          {brier === null || brierEven === null ? null : <p>{t.brier(rounded(brier, 2), rounded(brierEven, 2))}</p>}
          <p>{t.wanted}</p>
          <p>{t.counts(heats, starts)}</p>
        </div>
        <ReliabilityDiagram id="promise" title={t.pictureTitle} description={t.description} bins={bins} />
      </Section>
    </>
  );
}
