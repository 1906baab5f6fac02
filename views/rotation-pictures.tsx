import type { Entry } from '../server/meetings/store.ts';
import type { HeatBlock } from '../server/rotation/heat-groups.ts';
import type { HeatTimes, NightLine as Night } from '../server/rotation/night-line.ts';
import type { PlanFairness } from '../server/rotation/plan-fairness.ts';
import type { StagedHeat } from '../server/rotation/store.ts';
import { Button } from './components/button.tsx';
import { SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import type { LaneLook } from './components/lane-defaults.ts';
import { NightLine } from './components/night-line.tsx';
import { PairMatrix } from './components/pair-matrix.tsx';
import { RotationGrid } from './components/rotation-grid.tsx';
import { timeOfDay } from './format.ts';
import { rotationPictures as t } from './texts/en/rotation-pictures.ts';
import { idField } from './urls.ts';

interface HeatGridProps {
  id: string;
  caption: string;
  blocks: readonly HeatBlock<StagedHeat>[];
  lanes: readonly LaneLook[];
  /** Entries of all races: marshals may be any of them. */
  everybody: readonly Entry[];
  /** The entry whose path is drawn; null for none. */
  path: Entry | null;
  /** Where a nickname leads; null leads nowhere. */
  hrefOf: ((entry: Entry) => string) | null;
}

/** The heats of a race, lanes across, groups under headings of their own. */
export function HeatGrid({ id, caption, blocks, lanes, everybody, path, hrefOf }: HeatGridProps) {
  const drivers = new Map(
    everybody.map((entry) => [entry.id, { key: entry.id, name: entry.nickname, href: hrefOf?.(entry) ?? null }]),
  );
  const driverOf = (id: string | undefined) => (id === undefined ? null : (drivers.get(id) ?? null));
  const numberOf = new Map(blocks.flatMap(({ heats }) => heats.map((heat) => [heat.id, heat.ordinal])));
  return (
    <RotationGrid
      id={id}
      caption={caption}
      lanes={lanes}
      path={path?.id ?? null}
      blocks={blocks.map(({ group, heats }) => ({
        title: group === null ? null : t.group(group),
        heats: heats.map((heat) => ({
          key: idField(heat.id),
          number: heat.ordinal,
          stage: heat.stage,
          rerunOf: heat.reruns === null ? null : (numberOf.get(heat.reruns) ?? null),
          seats: lanes.map(({ number }) => driverOf(heat.lanes.find((one) => one.lane === number)?.entryId)),
          marshals: heat.marshals.flatMap((id) => driverOf(id) ?? []),
        })),
      }))}
    />
  );
}

interface PathChoiceProps {
  /** The page's own address. */
  here: string;
  entries: readonly Entry[];
  path: Entry | null;
  night: Night;
  heats: readonly StagedHeat[];
}

/** Whose path is drawn, and what it is in words. */
export function PathChoice({ here, entries, path, night, heats }: PathChoiceProps) {
  return (
    <>
      {path === null ? (
        <p class="no-print">{t.grid.hint}</p>
      ) : (
        <PathWords here={here} path={path} night={night} heats={heats} />
      )}
      <Form action={here} method="get" class="row-form no-print">
        <SelectField
          label={t.grid.choose}
          name="driver"
          id="path-driver"
          value={path === null ? '' : idField(path.id)}
          blank={t.grid.everybody}
          options={entries.map((entry) => ({ value: idField(entry.id), label: entry.nickname }))}
          width="short"
        />
        <Button>{t.grid.show}</Button>
      </Form>
    </>
  );
}

function PathWords({ here, path, night, heats }: Omit<PathChoiceProps, 'entries' | 'path'> & { path: Entry }) {
  const duties = night.lines.find((line) => line.driver === path.id)?.duties ?? [];
  const numbered = duties.map((duty, h) => ({ duty, heat: heats[h]?.ordinal ?? 0 }));
  return (
    <div class="path-words">
      <p>
        <strong>
          <bdi>{t.grid.pathOf(path.nickname)}</bdi>
        </strong>
        <a class="no-print path-all" href={here}>
          {t.grid.showAll}
        </a>
      </p>
      <p>
        {t.grid.drives(numbered.flatMap(({ duty, heat }) => (duty.kind === 'drive' ? { heat, lane: duty.lane } : [])))}{' '}
        {t.grid.marshalsIn(numbered.flatMap(({ duty, heat }) => (duty.kind === 'marshal' ? heat : [])))}
      </p>
    </div>
  );
}

interface PairMatricesProps {
  fairness: PlanFairness;
  entries: readonly Entry[];
  path: Entry | null;
}

/** Who meets whom: one triangle, or one for each group. */
export function PairMatrices({ fairness, entries, path }: PairMatricesProps) {
  const byId = new Map(entries.map((entry) => [entry.id, entry]));
  const shown = fairness.drivers.flatMap((driver, place) => {
    const entry = byId.get(String(driver));
    return entry ? [{ entry, place }] : [];
  });
  const groups = [...new Set(shown.map(({ entry }) => entry.groupNo))].sort((a, b) => (a ?? 0) - (b ?? 0));
  return (
    <>
      {groups.map((group) => {
        const members = shown.filter(({ entry }) => entry.groupNo === group);
        return (
          <PairMatrix
            key={group ?? 0}
            id={group === null ? 'who-meets-whom' : `who-meets-whom-${group}`}
            title={group === null ? undefined : t.pairs.ofGroup(group)}
            drivers={members.map(({ entry }) => ({ key: idField(entry.id), name: entry.nickname }))}
            meetings={members.map((a) => members.map((b) => fairness.meetings[a.place]?.[b.place] ?? 0))}
            path={path === null ? null : idField(path.id)}
          />
        );
      })}
    </>
  );
}

interface NightPictureProps {
  night: Night;
  heats: readonly StagedHeat[];
  entries: readonly Entry[];
  lanes: readonly LaneLook[];
  times: HeatTimes | null;
  /** Now, and how clocks are read at the track. */
  clock: { now: Date; zone: string; locale: string };
  path: Entry | null;
}

/** The night of everybody in the race, driver by driver. */
export function NightPicture({ night, heats, entries, lanes, times, clock, path }: NightPictureProps) {
  const nameOf = new Map(entries.map((entry) => [entry.id, entry.nickname]));
  const textOf = (afterMs: number | null) => {
    if (afterMs === null) return '';
    if (times?.from === 'start') return String(Math.round(afterMs / 60_000));
    return timeOfDay(new Date(clock.now.getTime() + afterMs), clock);
  };
  return (
    <NightLine
      id="night"
      heats={heats.map((heat) => ({
        key: idField(heat.id),
        number: heat.ordinal,
        over: heat.stage === 'run' || heat.stage === 'void',
      }))}
      lines={night.lines.map((line) => {
        const id = String(line.driver);
        return { ...line, key: idField(id), name: nameOf.get(id) ?? '' };
      })}
      lanes={lanes}
      emptyPosts={night.emptyPosts}
      times={
        times && {
          head: times.from === 'start' ? t.night.afterStart : t.night.atTime,
          hint: times.from === 'start' ? t.night.estimate : t.night.estimateNow,
          texts: times.afterMs.map(textOf),
        }
      }
      path={path === null ? null : idField(path.id)}
    />
  );
}
