import type { ClassStory, DriverStory } from '../server/pace/driver-story.ts';
import type { NamedNight } from '../server/pace/pages-store.ts';
import { Badge } from './components/badge.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { DefinitionList, EmptyState, Section } from './components/content.tsx';
import { Notice } from './components/notice.tsx';
import { type BandPoint, PaceBand } from './components/pace-band.tsx';
import { shortDate } from './format.ts';
import { Page, type Shell } from './layout.tsx';
import { rounded, sizeOf } from './pace-numbers.ts';
import { SettingPart, type SettingPartProps } from './pace-setting.tsx';
import { WhyPart, type WhyPartProps } from './pace-why.tsx';
import { drivers } from './texts/en/drivers.ts';
import { paceDriver as t } from './texts/en/pace-driver.ts';
import { urls } from './urls.ts';

interface PaceOfDriverPageProps {
  shell: Shell;
  slug: string;
  driverId: string;
  /** The nickname, or what stands for it. */
  name: string;
  /** Whether pace was ever worked out. */
  fitted: boolean;
  /** Null without laps. */
  story: DriverStory | null;
  /** Name of the track that seconds are of. */
  trackName: string | null;
  classNames: ReadonlyMap<string, string>;
  nights: readonly NamedNight[];
  /** Laps in a usual heat of the driver; null without heats. */
  heatLaps: number | null;
  /** Null where no heat with a handicap is known. */
  why: WhyPartProps | null;
  /** Null where pace was never worked out. */
  setting: SettingPartProps | null;
}

/** What the laps of a driver say: clean pace, crashes, learning, and why a handicap is what it is. */
export function PaceOfDriverPage(props: PaceOfDriverPageProps) {
  const { shell, slug, driverId, name, fitted, story, why, setting } = props;
  const above = [{ href: urls.driver(slug, driverId), label: name }];
  return (
    <Page
      shell={shell}
      title={t.title(name)}
      heading={<bdi>{t.title(name)}</bdi>}
      above={
        shell.role === 'director' ? (
          <ClubCrumbs slug={slug} items={[{ href: urls.inClub(slug, 'drivers'), label: drivers.title }, ...above]} />
        ) : (
          <a href={urls.driver(slug, driverId)}>
            <bdi>{name}</bdi>
          </a>
        )
      }
    >
      {story === null ? (
        <EmptyState title={fitted ? t.noLaps(name) : t.noFit} />
      ) : (
        <>
          <p>{t.intro}</p>
          {story.classes.map((one) => (
            <ClassPart key={one.carClass} one={one} {...props} />
          ))}
          <CrashPart story={story} heatLaps={props.heatLaps} />
        </>
      )}
      {why === null ? null : <WhyPart {...why} />}
      {setting === null || story === null ? null : <SettingPart {...setting} />}
    </Page>
  );
}

/** A night in a few characters: its day, or its number among past ones. */
export function nightLabel(nights: readonly NamedNight[], night: number, lang: string): string {
  const named = nights.find((one) => one.night === night);
  if (!named) return t.night(night);
  if (named.date === null) return t.importNight(night);
  return shortDate(new Date(`${named.date}T00:00:00Z`), { zone: 'UTC', locale: lang });
}

function ClassPart({ one, ...props }: PaceOfDriverPageProps & { one: ClassStory }) {
  const { shell, trackName, classNames, nights } = props;
  const { lap, provisional, heats, learning } = one;
  const className = classNames.get(one.carClass) ?? t.unknownClass;
  const points = one.nights.map(
    ({ night, lap: level }): BandPoint => ({
      key: String(night),
      label: nightLabel(nights, night, shell.lang),
      ...level,
    }),
  );
  const figures = [lap, ...points].flatMap(({ low, middle, high }) => [low, middle, high]);
  const drawable = points.length > 0 && figures.every((x) => Number.isFinite(x) && x > 0);
  const [first, last] = [points[0], points.at(-1)];
  return (
    <Section
      title={<bdi>{t.classTitle(className)}</bdi>}
      aside={provisional ? <Badge kind="strong">{t.provisional}</Badge> : null}
    >
      <div class="pace-words">
        <p class="pace-lead">{t.lap(rounded(lap.middle, 2), rounded(lap.low, 2), rounded(lap.high, 2))}</p>
        <p>
          {trackName === null ? null : `${t.onTrack(trackName)} `}
          {t.heats(heats)}
        </p>
        <p>
          <a href={urls.inClub(props.slug, 'pace/lanes')}>{t.lanesLink}</a>
        </p>
        {learning === null ? <p>{t.learningLater}</p> : <p>{learningWords(learning)}</p>}
        {provisional ? <Notice kind="info">{t.provisionalNote}</Notice> : null}
      </div>
      {drawable && first && last ? (
        <PaceBand
          id={`pace-${classNumber(props, one)}`}
          title={t.band.title(className)}
          description={t.band.description(points.length, rounded(first.middle, 2), rounded(last.middle, 2))}
          points={points}
        />
      ) : null}
    </Section>
  );
}

/** Ids in a page stay short and plain whatever a class is called. */
const classNumber = ({ story }: PaceOfDriverPageProps, one: ClassStory) => (story?.classes.indexOf(one) ?? 0) + 1;

function learningWords({ nightsAgo, change, verdict }: NonNullable<ClassStory['learning']>): string {
  const percent = (share: number) => sizeOf(100 * share, 1);
  switch (verdict) {
    case 'quicker':
      return t.learning.quicker(percent(change.middle), nightsAgo, percent(change.high), percent(change.low));
    case 'slower':
      return t.learning.slower(percent(change.middle), nightsAgo, percent(change.low), percent(change.high));
    case 'same':
      return t.learning.same(nightsAgo, percent(change.high), percent(change.low));
  }
}

function CrashPart({ story, heatLaps }: { story: DriverStory; heatLaps: number | null }) {
  const { per100Laps: rate, lossS, lostPerLapS } = story.crashes;
  const lost =
    heatLaps === null || heatLaps === 0
      ? t.lostIn100(rounded(100 * lostPerLapS, 0))
      : t.lostInHeat(rounded(heatLaps * lostPerLapS, 1), heatLaps);
  return (
    <Section title={t.crashTitle}>
      <DefinitionList
        items={[
          {
            label: t.crashFacts.rate,
            value: t.rate(rounded(rate.middle, 1), rounded(rate.low, 1), rounded(rate.high, 1)),
          },
          { label: t.crashFacts.loss, value: t.unit(rounded(lossS, 1)) },
          { label: t.crashFacts.lost, value: lost },
        ]}
      />
      <p>{t.crashNote}</p>
    </Section>
  );
}
