import type { ClassStory, DriverStory } from '../server/pace/driver-story.ts';
import type { FitRun } from '../server/pace/fit-desk.ts';
import type { LapImport } from '../server/pace/import-store.ts';
import type { StoredFit } from '../server/pace/pace-store.ts';
import { Badge } from './components/badge.tsx';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { DefinitionList, EmptyState, Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Form } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { type Place, shortDate, timeOfDay } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { rounded } from './pace-numbers.ts';
import { pace as t } from './texts/en/pace.ts';
import { urls } from './urls.ts';

/** A driver with what the latest fit tells. */
export interface PacedDriver {
  readonly id: string;
  readonly nickname: string | null;
  readonly story: DriverStory;
}

export interface PaceRegionProps {
  shell: Shell;
  slug: string;
  zone: string;
  latest: StoredFit | null;
  running: FitRun | null;
  failed: boolean;
  drivers: readonly PacedDriver[];
  /** Names of classes by id. */
  classes: ReadonlyMap<string, string>;
}

interface PacePageProps extends PaceRegionProps {
  imports: readonly LapImport[];
  /** What was just done. */
  done: string | null;
}

/** How quick everybody is, when and from what that was worked out, and the past laps that were read in. */
export function PacePage(props: PacePageProps) {
  const { shell, slug, done } = props;
  const at = (path: string) => urls.inClub(slug, `pace/${path}`);
  return (
    <Page shell={shell} title={t.title} heading={t.title} above={<ClubCrumbs slug={slug} />} status={done ?? undefined}>
      {done === null ? null : <Notice kind="ok">{done}</Notice>}
      <p>{t.intro}</p>
      <ButtonRow>
        <ButtonLink href={at('lanes')}>{t.links.lanes}</ButtonLink>
        <ButtonLink href={at('promise')}>{t.links.promise}</ButtonLink>
        <ButtonLink href={at('slow')}>{t.links.slow}</ButtonLink>
        <ButtonLink href={at('import')}>{t.links.import}</ButtonLink>
      </ButtonRow>
      <PaceRegion {...props} />
      <Imports {...props} />
    </Page>
  );
}

/** The part of the page that follows a fit while it runs. */
export function PaceRegion(props: PaceRegionProps) {
  const { slug, latest, running, drivers } = props;
  return (
    <div id="pace">
      {running === null ? null : (
        <div
          id="pace-poll"
          hx-get={urls.inClub(slug, 'pace/state')}
          hx-trigger="every 1s"
          hx-target="#pace"
          hx-swap="outerMorph"
          {...{ 'hx-status:4xx': 'swap:none', 'hx-status:5xx': 'swap:none' }}
        />
      )}
      <FitState {...props} />
      {latest === null ? null : (
        <>
          {drivers.length === 0 ? <p class="empty-line">{t.noDrivers}</p> : <Drivers {...props} />}
          <Components latest={latest} />
        </>
      )}
    </div>
  );
}

function FitState(props: PaceRegionProps) {
  const { shell, slug, latest, running, failed, drivers } = props;
  const again = (
    <Form action={urls.inClub(slug, 'pace/again')} csrf={shell.csrf}>
      <ButtonRow>
        <Button>{latest === null ? t.first : t.again}</Button>
      </ButtonRow>
    </Form>
  );
  return (
    <>
      {failed ? <Notice kind="warning">{t.failed}</Notice> : null}
      {latest === null ? (
        <EmptyState title={t.none}>{running === null ? t.noneIntro : t.noneRunning}</EmptyState>
      ) : (
        <FitFacts {...props} latest={latest} />
      )}
      {latest !== null && drivers.length === 1 ? <Notice kind="info">{t.oneDriver}</Notice> : null}
      {latest !== null && latest.nights < fewNights ? <Notice kind="info">{t.fewNights}</Notice> : null}
      {running === null ? again : <Progress slug={slug} running={running} />}
    </>
  );
}

/** Below so many nights the components of the model are hardly those of the club. */
const fewNights = 5;

function Progress({ slug, running }: { slug: string; running: FitRun }) {
  const percent = Math.min(100, Math.floor((100 * running.done) / running.of));
  return (
    <div class="draft-progress">
      <progress class="draft-bar" max={100} value={percent} aria-label={t.runningLabel}>
        {`${percent} %`}
      </progress>
      <p>{t.running(percent)}</p>
      <noscript>
        <ButtonLink href={urls.inClub(slug, 'pace')}>{t.lookAgain}</ButtonLink>
      </noscript>
    </div>
  );
}

function FitFacts({ shell, zone, latest }: PaceRegionProps & { latest: StoredFit }) {
  const place: Place = { zone, locale: shell.lang };
  const { fit, createdAt } = latest;
  return (
    <>
      <DefinitionList
        items={[
          { label: t.facts.when, value: t.when(shortDate(createdAt, place), timeOfDay(createdAt, place)) },
          { label: t.facts.laps, value: t.from(t.laps(latest.laps), t.nights(latest.nights)) },
          { label: t.facts.engine, value: fit.engine, numeric: true },
          { label: t.facts.seed, value: fit.seed, numeric: true },
          { label: t.facts.hash, value: fit.inputsHash, numeric: true },
        ]}
      />
      <p class="field-hint">{t.repeatHint}</p>
    </>
  );
}

/** A table for each class that was driven: the quickest first. */
function Drivers({ slug, drivers, classes }: PaceRegionProps) {
  const driven = new Map<string, { driver: PacedDriver; own: ClassStory }[]>();
  for (const driver of drivers) {
    for (const own of driver.story.classes) {
      driven.set(own.carClass, [...(driven.get(own.carClass) ?? []), { driver, own }]);
    }
  }
  const inOrder = [...driven].sort(([, a], [, b]) => b.length - a.length);
  return (
    <>
      {inOrder.map(([carClass, rows]) => {
        const title = t.driversTitle(classes.get(carClass) ?? t.unknownClass);
        return (
          <Section key={carClass} title={<bdi>{title}</bdi>}>
            <p>{t.driversHint}</p>
            <DataTable
              caption={title}
              captionHidden
              rows={rows.toSorted((a, b) => a.own.lap.middle - b.own.lap.middle)}
              rowKey={({ driver }) => driver.id}
              columns={[
                {
                  key: 'driver',
                  head: t.columns.driver,
                  rowHead: true,
                  cell: ({ driver, own }) => (
                    <>
                      <a href={urls.driver(slug, driver.id, 'pace')}>
                        <bdi>{driver.nickname ?? t.unknownDriver}</bdi>
                      </a>
                      {own.provisional ? <Badge>{t.provisional}</Badge> : null}
                    </>
                  ),
                },
                { key: 'lap', head: t.columns.lap, numeric: true, cell: ({ own }) => rounded(own.lap.middle, 2) },
                {
                  key: 'limits',
                  head: t.columns.limits,
                  numeric: true,
                  cell: ({ own }) => t.between(rounded(own.lap.low, 2), rounded(own.lap.high, 2)),
                },
                { key: 'heats', head: t.columns.heats, numeric: true, cell: ({ own }) => own.heats },
                {
                  key: 'crashes',
                  head: t.columns.crashes,
                  numeric: true,
                  cell: ({ driver }) => {
                    const { middle, low, high } = driver.story.crashes.per100Laps;
                    return t.crashes(rounded(middle, 1), rounded(low, 1), rounded(high, 1));
                  },
                },
              ]}
            />
          </Section>
        );
      })}
    </>
  );
}

const componentNames = ['a', 'w', 'q', 'r', 'de', 'tau', 's', 'g'] as const;

function Components({ latest }: { latest: StoredFit }) {
  return (
    <Section title={t.componentsTitle}>
      <p>{t.componentsHint}</p>
      <DataTable
        caption={t.componentsTitle}
        captionHidden
        rows={componentNames}
        rowKey={(name) => name}
        columns={[
          { key: 'what', head: t.componentColumns.what, rowHead: true, cell: (name) => t.components[name] },
          {
            key: 'share',
            head: t.componentColumns.share,
            numeric: true,
            cell: (name) => t.percent(rounded(100 * latest.fit.components[name], 1)),
          },
        ]}
      />
    </Section>
  );
}

function Imports({ shell, slug, zone, imports }: PacePageProps) {
  const place: Place = { zone, locale: shell.lang };
  return (
    <Section title={t.importsTitle} id="imports">
      <DataTable
        caption={t.importsTitle}
        captionHidden
        rows={imports}
        rowKey={({ id }) => id}
        empty={t.importsNone}
        columns={[
          { key: 'name', head: t.importColumns.name, rowHead: true, cell: ({ name }) => <bdi>{name}</bdi> },
          {
            key: 'laps',
            head: t.importColumns.laps,
            numeric: true,
            cell: ({ rows }) => rows.toLocaleString(shell.lang),
          },
          { key: 'nights', head: t.importColumns.nights, numeric: true, cell: ({ nights }) => nights },
          { key: 'when', head: t.importColumns.when, cell: ({ createdAt }) => shortDate(createdAt, place) },
          {
            key: 'remove',
            head: t.importColumns.remove,
            words: true,
            cell: ({ id, name }) => (
              <details>
                <summary aria-label={t.removeOf(name)}>{t.remove}</summary>
                <p>{t.removeNote}</p>
                <Form action={urls.inClub(slug, `pace/imports/${id}/remove`)} csrf={shell.csrf}>
                  <Button kind="danger">{t.removeOf(name)}</Button>
                </Form>
              </details>
            ),
          },
        ]}
      />
    </Section>
  );
}
