import type { TrackLanes } from '../server/pace/lane-comparison.ts';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { EmptyState, Section } from './components/content.tsx';
import type { LaneLook } from './components/lane-defaults.ts';
import { LaneEffects } from './components/lane-effects.tsx';
import { Page, type Shell } from './layout.tsx';
import { rounded } from './pace-numbers.ts';
import { paceLanes as t } from './texts/en/pace-lanes.ts';

export interface NamedTrack {
  name: string;
  compared: TrackLanes;
  /** By number. */
  looks: ReadonlyMap<number, LaneLook>;
}

interface LanesPageProps {
  shell: Shell;
  slug: string;
  /** Null before pace was ever worked out. */
  tracks: readonly NamedTrack[] | null;
}

/** Which lanes are quicker, track by track. */
export function LanesPage({ shell, slug, tracks }: LanesPageProps) {
  return (
    <Page
      shell={shell}
      title={t.title}
      heading={t.title}
      above={shell.role === 'director' ? <ClubCrumbs slug={slug} /> : null}
    >
      {tracks === null || tracks.length === 0 ? <EmptyState title={t.noFit} /> : <p>{t.intro}</p>}
      {tracks?.map((track, i) => (
        <TrackPart key={track.compared.track} track={track} id={`lanes-${i + 1}`} />
      ))}
    </Page>
  );
}

function TrackPart({ track: { name, compared, looks }, id }: { track: NamedTrack; id: string }) {
  const { lanes, lapS, differ } = compared;
  const sound = lanes.flatMap((effect) => {
    const look = looks.get(effect.lane);
    return look && Number.isFinite(effect.percent.low) && Number.isFinite(effect.percent.high)
      ? [{ look, effect }]
      : [];
  });
  const byPace = sound.map(({ effect }) => effect).sort((a, b) => a.percent.middle - b.percent.middle);
  const [quickest, slowest] = [byPace[0], byPace.at(-1)];
  if (sound.length < 2 || !quickest || !slowest) {
    return (
      <Section title={<bdi>{name}</bdi>}>
        <p>{t.oneLane}</p>
      </Section>
    );
  }
  const apart = slowest.secondsPerLap.middle - quickest.secondsPerLap.middle;
  return (
    <Section title={<bdi>{name}</bdi>}>
      <p class="pace-lead">{differ ? t.differ(quickest.lane, slowest.lane, rounded(apart, 2)) : t.noDifference}</p>
      <LaneEffects id={id} title={t.pictureTitle(name)} description={t.description(rounded(lapS, 2))} rows={sound} />
    </Section>
  );
}
