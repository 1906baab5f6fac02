import { line } from 'd3-shape';
import type { MotorStory, PwmMap, StepResponse, StopRow } from '../server/profiles/motor/story.ts';
import { type Column, DataTable } from './components/data-table.tsx';
import { onSquare, Plot, PlotFigure, PlotLine } from './components/plot.tsx';
import { type Axis, axisOf } from './motor-axis.ts';
import { rounded } from './pace-numbers.ts';
import type { PictureNames } from './profile-throttle.tsx';
import { motor as t } from './texts/en/motor.ts';

type Point = readonly [number, number];

/** A path through points given in the units of two axes. */
function pathOf(points: readonly Point[], x: Axis, y: Axis): string {
  const path = line<Point>()
    .x(([at]) => onSquare.x(x.place(at)))
    .y(([, value]) => onSquare.y(y.place(value)))
    .digits(1);
  return path(points) ?? '';
}

const zipped = (xs: readonly number[], ys: readonly number[]): Point[] => xs.map((x, k) => [x, ys[k] as number]);

interface KeyLine {
  /** Class of the stroke. */
  readonly stroke: string;
  readonly word: string;
}

/** Which line is what. */
export function MotorKey({ lines }: { lines: readonly KeyLine[] }) {
  return (
    <ul class="plot-key">
      {lines.map(({ stroke, word }) => (
        <li key={word}>
          <svg class="plot-key-line" viewBox="0 0 40 14" aria-hidden="true" focusable="false">
            <path class={`plot-line ${stroke}`} d="M1 7H39" />
          </svg>
          <bdi>{word}</bdi>
        </li>
      ))}
    </ul>
  );
}

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
  const x = axisOf(0, endS, 5, false);
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

/** Columns of the map that are drawn as lines: duty 20, 40 … 100 %. */
const drawnDuties = [0, 8, 16, 24, 32, 40] as const;

/** Mean current over the back EMF, a line a duty: how the motor pulls at small and large duty. */
export function MapPicture({ map, pwmHz }: { map: PwmMap; pwmHz: number }) {
  const title = t.map.title;
  const values = map.meanA.flatMap((row) => drawnDuties.map((k) => row[k] as number));
  const x = axisOf(0, 1, 5, false);
  const y = axisOf(Math.min(0, ...values), Math.max(0, ...values), 5);
  const linesOf = (k: number) =>
    zipped(
      map.backEmfs,
      map.meanA.map((row) => row[k] as number),
    );
  const percent = (share: number | undefined) => t.percent(rounded(100 * (share ?? 0), 0));
  return (
    <PlotFigure
      id="motor-map"
      title={title}
      description={t.map.description(pwmHz)}
      table={
        <DataTable
          caption={title}
          captionHidden
          dense
          rows={map.backEmfs.map((_, k) => k).filter((k) => k % 4 === 0)}
          rowKey={(k) => k}
          columns={[
            { key: 'speed', head: t.map.speed, rowHead: true, cell: (k) => percent(map.backEmfs[k]) },
            ...drawnDuties.map((duty) => ({
              key: `duty-${duty}`,
              head: `${t.map.duty} ${percent(map.duties[duty])}`,
              numeric: true,
              cell: (k: number) => t.amperes(rounded(map.meanA[k]?.[duty] as number, 2)),
            })),
          ]}
        />
      }
    >
      <Plot
        id="motor-map-lines"
        label={title}
        describedBy="motor-map-description"
        size="l"
        x={x.ticks.map(({ at }) => ({ at, label: percent(at) }))}
        y={y.ticks}
        xWord={t.map.speed}
        yWord={t.map.axis}
        lines={
          <>
            <path
              class="plot-mean"
              d={pathOf(
                [
                  [0, 0],
                  [1, 0],
                ],
                x,
                y,
              )}
              vector-effect="non-scaling-stroke"
            />
            {drawnDuties.map((k) => (
              <path
                key={k}
                class={`plot-line motor-duty-${k / 8}`}
                d={pathOf(linesOf(k), x, y)}
                vector-effect="non-scaling-stroke"
              />
            ))}
          </>
        }
      />
      <MotorKey
        lines={drawnDuties.map((k) => ({
          stroke: `motor-duty-${k / 8}`,
          word: `${t.map.duty} ${percent(map.duties[k])}`,
        }))}
      />
    </PlotFigure>
  );
}

/** Where the braked car runs further than an open one: the first such speed. */
export function slidesFurther({ stops }: Pick<MotorStory, 'stops'>): number | null {
  return stops.find(({ own, coast }) => own !== null && own.distanceM > coast.distanceM * 1.01)?.speedMPerS ?? null;
}
