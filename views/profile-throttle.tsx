import { line } from 'd3-shape';
import type { CurveRow } from '../server/profiles/model/duty.ts';
import type { PicturesData, ProfilePicture } from '../server/profiles/pictures.ts';
import { DataTable } from './components/data-table.tsx';
import { onSquare, PlotDrawing, PlotFigure, PlotLine, PlotName, type Tick, up } from './components/plot.tsx';
import { rounded } from './pace-numbers.ts';
import { CurveHandles } from './profile-handles.tsx';
import { profilePictures as t } from './texts/en/profile-pictures.ts';

/** What the two profiles of a picture are called in it. */
export interface PictureNames {
  own: string;
  other: string;
}

export const percentTicks: readonly Tick[] = [0, 0.25, 0.5, 0.75, 1].map((at) => ({
  at,
  label: t.percent(String(at * 100)),
}));

/** A share as percent, with a decimal where there is one. */
export const percentOf = (share: number): string => String(Math.round(share * 1000) / 10);

interface ThrottlePictureProps {
  data: PicturesData;
  names: PictureNames;
  /** Whether the curve can be taken hold of. */
  handles?: boolean | undefined;
  limitPermille?: number | null | undefined;
}

/** Drive over the trigger: the large picture. */
export function ThrottlePicture({ data, names, handles = false, limitPermille = null }: ThrottlePictureProps) {
  return (
    <PlotFigure
      id="throttle"
      title={t.throttle.title}
      description={t.throttle.description}
      table={<ThrottleTable data={data} names={names} />}
    >
      <div class="plot plot-l">
        <ThrottleDrawing data={data} names={names} limitPermille={limitPermille} />
        {handles ? <CurveHandles handles={data.handles} /> : null}
      </div>
    </PlotFigure>
  );
}

/** The drawing of the picture alone. */
export function ThrottleDrawing({ data, names, limitPermille }: Omit<ThrottlePictureProps, 'handles'>) {
  const { own, other } = data;
  const limit = limitPermille === null || limitPermille === undefined ? null : limitPermille / 1000;
  return (
    <PlotDrawing
      id="throttle-lines"
      label={t.throttle.label(percentOf(own.minDrive), percentOf(own.maxDrive))}
      describedBy="throttle-description"
      x={percentTicks}
      y={percentTicks}
      xWord={t.trigger}
      yWord={t.drive}
      lines={
        <>
          <ThrottleLines data={data} />
          {limit === null ? null : (
            <path class="plot-limit" d={`M0 ${onSquare.y(limit)}H1000`} vector-effect="non-scaling-stroke" />
          )}
        </>
      }
    >
      {limit === null ? null : (
        <text class="plot-word" x="2%" y={up(limit)} dy="-0.4em">
          {t.limit(percentOf(limit))}
        </text>
      )}
      {other ? <CurveNames own={own.throttle} other={other.throttle} names={names} /> : null}
    </PlotDrawing>
  );
}

const path = line<CurveRow>()
  .x(({ x }) => onSquare.x(x))
  .y(({ duty }) => onSquare.y(duty))
  .digits(1);

/** Drive over the trigger, on the square of a plot. */
export function ThrottleLines({ data: { own, other } }: { data: PicturesData }) {
  return (
    <>
      <path class="plot-released" d={`M0 0H${onSquare.x(own.released)}V1000H0z`} />
      {other ? <PlotLine tone="other" d={throttlePath(other)} /> : null}
      <PlotLine tone="own" d={throttlePath(own)} />
    </>
  );
}

/** As much of a profile as its throttle curve needs. */
export type ThumbData = Pick<ProfilePicture, 'throttle' | 'released' | 'minDrive' | 'maxDrive'>;

/** The curve with its step where the trigger leaves rest. */
export function throttlePath({ throttle, released, minDrive }: ThumbData): string {
  const rest = [
    { x: 0, duty: 0, slope: 0 },
    { x: released, duty: 0, slope: 0 },
    { x: released, duty: minDrive, slope: 0 },
  ];
  return path([...rest, ...throttle.filter(({ x }) => x > released)]) ?? '';
}

/** Where two curves are furthest apart, and by how much. */
function widest(own: readonly CurveRow[], other: readonly CurveRow[], from = 0, to = 1): { at: number; gap: number } {
  let found = { at: (from + to) / 2, gap: 0 };
  own.forEach(({ x, duty }, index) => {
    const gap = Math.abs(duty - (other[index]?.duty ?? duty));
    if (x >= from && x <= to && gap > found.gap) found = { at: x, gap };
  });
  return found;
}

const dutyAt = (rows: readonly CurveRow[], x: number) => rows[Math.round(x * (rows.length - 1))]?.duty ?? 0;

/** Lines that are nearer than this everywhere cannot be told apart, and need one name. */
const leastGap = 0.004;

interface CurveNamesProps {
  own: readonly CurveRow[];
  other: readonly CurveRow[];
  names: PictureNames;
}

/** Names stand where the lines are furthest apart: the upper one's above it, the lower one's below. */
function CurveNames({ own, other, names }: CurveNamesProps) {
  const anywhere = widest(own, other);
  // In the middle there is room for a name on either side.
  const middle = widest(own, other, 0.3, 0.65);
  const { at } = middle.gap < leastGap ? anywhere : middle;
  const [here, there] = [dutyAt(own, at), dutyAt(other, at)];
  if (anywhere.gap < leastGap) return <PlotName tone="own" x={at} y={here} name={t.both} side="above" />;
  const upper = here >= there;
  return (
    <>
      <PlotName tone="own" x={at} y={here} name={names.own} side={upper ? 'above' : 'below'} />
      <PlotName tone="other" x={at} y={there} name={names.other} side={upper ? 'below' : 'above'} />
    </>
  );
}

/** Every tenth row: 5 % of trigger apart. */
const rowsBetween = 10;

export function ThrottleTable({ data: { own, other }, names }: { data: PicturesData; names: PictureNames }) {
  const rows = own.throttle.map((row, index) => ({ row, other: other?.throttle[index] ?? null }));
  return (
    <div id="throttle-rows">
      <DataTable
        caption={t.throttle.table}
        captionHidden
        dense
        rows={rows.filter((_, index) => index % rowsBetween === 0)}
        rowKey={({ row }) => row.x}
        columns={[
          { key: 'x', head: t.trigger, rowHead: true, cell: ({ row }) => t.percent(percentOf(row.x)) },
          { key: 'own', head: names.own, numeric: true, cell: ({ row }) => t.percent(rounded(row.duty * 100, 1)) },
          ...(other
            ? [
                {
                  key: 'other',
                  head: names.other,
                  numeric: true,
                  cell: (both: (typeof rows)[number]) => t.percent(rounded((both.other?.duty ?? 0) * 100, 1)),
                },
              ]
            : []),
        ]}
      />
    </div>
  );
}
