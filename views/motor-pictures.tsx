import type { MotorStory, StepResponse, StopRow } from '../server/profiles/motor/story.ts';
import { type Column, DataTable } from './components/data-table.tsx';
import { Plot, PlotFigure, PlotLine } from './components/plot.tsx';
import { axisOf, pathOf, zipped } from './motor-axis.ts';
import { MotorKey } from './motor-key.tsx';
import { rounded } from './pace-numbers.ts';
import type { PictureNames } from './profile-throttle.tsx';
import { motor as t } from './texts/en/motor.ts';

/** A round speed with as many digits as it needs. */
export const roundSpeed = (mPerS: number) => rounded(mPerS, Number.isInteger(mPerS) ? 0 : 1);

interface SpeedPictureProps {
  step: StepResponse;
  names: PictureNames;
  /** A sentence about both lines, after the one that says what they show. */
  remark?: string | null | undefined;
}

/** Every so many points of a step response make a row of its table. */
const rowsApart = 6;

/** Speed over the time after the trigger is pressed and held. */
export function SpeedPicture({ step, names, remark }: SpeedPictureProps) {
  const { trigger, tS, ownMPerS, otherMPerS } = step;
  const id = `motor-speed-${trigger * 100}`;
  const endS = tS.at(-1) as number;
  const x = axisOf(0, endS, 3, false);
  const y = axisOf(0, Math.max(0.1, ...ownMPerS, ...(otherMPerS ?? [])), 4);
  const last = (speeds: readonly number[]) => rounded(speeds.at(-1) as number, 2);
  const title = t.speed.title(trigger);
  const words = [
    t.speed.description(last(ownMPerS), rounded(endS, 1)),
    ...(otherMPerS ? [t.speed.compared(names.other, last(otherMPerS))] : []),
    ...(remark ? [remark] : []),
  ];
  const rows = tS.map((_, k) => k).filter((k) => k % rowsApart === 0);
  const speedColumn = (key: string, head: string, speeds: readonly number[]): Column<number> => ({
    key,
    head,
    numeric: true,
    cell: (k) => t.mPerS(rounded(speeds[k] as number, 2)),
  });
  return (
    <PlotFigure
      id={id}
      title={title}
      description={words.join(' ')}
      table={
        <DataTable
          caption={title}
          captionHidden
          dense
          rows={rows}
          rowKey={(k) => k}
          columns={[
            { key: 't', head: t.speed.time, rowHead: true, cell: (k) => t.seconds(rounded(tS[k] as number, 2)) },
            speedColumn('own', names.own, ownMPerS),
            ...(otherMPerS ? [speedColumn('other', names.other, otherMPerS)] : []),
          ]}
        />
      }
    >
      {otherMPerS ? <TwoKey names={names} /> : null}
      <Plot
        id={`${id}-lines`}
        label={title}
        describedBy={`${id}-description`}
        x={x.ticks.map(({ at, label }) => ({ at, label: t.seconds(label) }))}
        y={y.ticks}
        xWord={t.speed.time}
        yWord={t.speed.axis}
        lines={
          <>
            {otherMPerS ? <PlotLine tone="other" d={pathOf(zipped(tS, otherMPerS), x, y)} /> : null}
            <PlotLine tone="own" d={pathOf(zipped(tS, ownMPerS), x, y)} />
          </>
        }
      />
    </PlotFigure>
  );
}

function TwoKey({ names }: { names: PictureNames }) {
  return (
    <MotorKey
      lines={[
        { stroke: 'plot-own', word: names.own },
        { stroke: 'plot-other', word: names.other },
      ]}
    />
  );
}

interface StopPictureProps {
  stops: readonly StopRow[];
  names: PictureNames;
}

type Way = readonly [speed: number, metres: number];

/** How far the car runs, by the speed it had: trigger let go, and left open. */
export function StopPicture({ stops, names }: StopPictureProps) {
  const fastest = stops.at(-1);
  if (!fastest) return null;
  const compared = stops.some(({ other }) => other !== null);
  const waysOf = (stopOf: (row: StopRow) => { distanceM: number } | null): Way[] => [
    [0, 0],
    ...stops.flatMap((row): Way[] => {
      const stop = stopOf(row);
      return stop && Number.isFinite(stop.distanceM) ? [[row.speedMPerS, stop.distanceM]] : [];
    }),
  ];
  const open = waysOf(({ coast }) => coast);
  const own = waysOf((row) => row.own);
  const other = compared ? waysOf((row) => row.other) : [];
  const x = axisOf(0, fastest.speedMPerS, 5, false);
  const y = axisOf(0, Math.max(...[...open, ...own, ...other].map(([, metres]) => metres)), 4);
  return (
    <PlotFigure
      id="motor-stops"
      title={t.stops.title}
      description={t.stops.description(roundSpeed(fastest.speedMPerS), wayWords(fastest.own), wayWords(fastest.coast))}
      table={<StopTable stops={stops} names={names} compared={compared} />}
    >
      <MotorKey
        lines={[
          { stroke: 'plot-own', word: t.stops.released(names.own) },
          ...(compared ? [{ stroke: 'plot-other', word: t.stops.released(names.other) }] : []),
          { stroke: 'motor-open', word: t.stops.open },
        ]}
      />
      <Plot
        id="motor-stops-lines"
        label={t.stops.title}
        describedBy="motor-stops-description"
        x={x.ticks}
        y={y.ticks}
        xWord={t.stops.speed}
        yWord={t.stops.axis}
        lines={
          <>
            <path class="plot-line motor-open" d={pathOf(open, x, y)} vector-effect="non-scaling-stroke" />
            {compared ? <PlotLine tone="other" d={pathOf(other, x, y)} /> : null}
            <PlotLine tone="own" d={pathOf(own, x, y)} />
          </>
        }
      />
    </PlotFigure>
  );
}

const wayWords = (stop: { distanceM: number } | null) =>
  stop === null || !Number.isFinite(stop.distanceM) ? t.never : t.metres(rounded(stop.distanceM, 2));
const timeWords = (stop: { timeS: number } | null) =>
  stop === null || !Number.isFinite(stop.timeS) ? t.never : t.seconds(rounded(stop.timeS, 2));

function StopTable({ stops, names, compared }: StopPictureProps & { compared: boolean }) {
  const pair = (
    key: string,
    way: string,
    time: string,
    stopOf: (row: StopRow) => StopRow['own'],
  ): Column<StopRow>[] => [
    { key: `${key}-way`, head: way, numeric: true, cell: (row) => wayWords(stopOf(row)) },
    { key: `${key}-time`, head: time, numeric: true, cell: (row) => timeWords(stopOf(row)) },
  ];
  return (
    <DataTable
      caption={t.stops.title}
      captionHidden
      dense
      rows={stops}
      rowKey={(row) => row.speedMPerS}
      columns={[
        { key: 'speed', head: t.stops.from, rowHead: true, cell: (row) => t.mPerS(roundSpeed(row.speedMPerS)) },
        ...pair('own', t.stops.ownWay(names.own), t.stops.ownTime(names.own), (row) => row.own),
        ...(compared
          ? pair('other', t.stops.ownWay(names.other), t.stops.ownTime(names.other), (row) => row.other)
          : []),
        ...pair('open', t.stops.openWay, t.stops.openTime, (row) => row.coast),
      ]}
    />
  );
}

/** Where the braked car runs further than an open one: the first such speed. */
export function slidesFurther({ stops }: Pick<MotorStory, 'stops'>): number | null {
  return stops.find(({ own, coast }) => own !== null && own.distanceM > coast.distanceM * 1.01)?.speedMPerS ?? null;
}
