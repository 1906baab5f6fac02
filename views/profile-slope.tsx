import { scaleLinear } from 'd3-scale';
import { line } from 'd3-shape';
import type { CurveRow } from '../server/profiles/model/duty.ts';
import type { PicturesData } from '../server/profiles/pictures.ts';
import { DataTable } from './components/data-table.tsx';
import { onSquare, Plot, PlotFigure, PlotLine, up } from './components/plot.tsx';
import { rounded } from './pace-numbers.ts';
import { type PictureNames, percentOf, percentTicks } from './profile-throttle.tsx';
import { PlotKey } from './profile-time.tsx';
import { profilePictures as t } from './texts/en/profile-pictures.ts';

interface SlopeProps {
  data: PicturesData;
  names: PictureNames;
}

/** How much drive each bit of trigger adds, beside the mean of 1. */
export function SlopePicture({ data, names }: SlopeProps) {
  const { own, other } = data;
  const most = Math.max(2, ...[own, other].flatMap((one) => one?.throttle.map(({ slope }) => slope) ?? []));
  const y = scaleLinear([0, most], [0, 1]).nice(4);
  const ticks = y.ticks(4).map((value) => ({ at: y(value), label: String(value) }));
  const path = line<CurveRow>()
    .x(({ x }) => onSquare.x(x))
    .y(({ slope }) => onSquare.y(y(slope)))
    .digits(1);
  const of = (rows: readonly CurveRow[], released: number) => path(rows.filter(({ x }) => x > released)) ?? '';
  return (
    <PlotFigure
      id="slope"
      title={t.slope.title}
      description={t.slope.description}
      table={<SlopeTable data={data} names={names} />}
    >
      <PlotKey data={data} names={names} />
      <Plot
        id="slope-lines"
        label={t.slope.title}
        describedBy="slope-description"
        x={percentTicks}
        y={ticks}
        xWord={t.trigger}
        yWord={t.slope.word}
        lines={
          <>
            <path class="plot-released" d={`M0 0H${onSquare.x(own.released)}V1000H0z`} />
            <path class="plot-mean" d={`M0 ${onSquare.y(y(1))}H1000`} vector-effect="non-scaling-stroke" />
            {other ? <PlotLine tone="other" d={of(other.throttle, other.released)} /> : null}
            <PlotLine tone="own" d={of(own.throttle, own.released)} />
          </>
        }
      >
        <text class="plot-word" x="100%" y={up(y(1))} dy="-0.4em" text-anchor="end">
          {t.slope.mean}
        </text>
      </Plot>
    </PlotFigure>
  );
}

function SlopeTable({ data: { own, other }, names }: SlopeProps) {
  const rows = own.throttle
    .map((row, index) => ({ row, there: other?.throttle[index] ?? null }))
    .filter((_, index) => index % 10 === 0);
  return (
    <DataTable
      caption={t.slope.table}
      captionHidden
      dense
      rows={rows}
      rowKey={({ row }) => row.x}
      columns={[
        { key: 'x', head: t.trigger, rowHead: true, cell: ({ row }) => t.percent(percentOf(row.x)) },
        { key: 'own', head: names.own, numeric: true, cell: ({ row }) => rounded(row.slope, 2) },
        ...(other
          ? [
              {
                key: 'other',
                head: names.other,
                numeric: true,
                cell: ({ there }: (typeof rows)[number]) => rounded(there?.slope ?? 0, 2),
              },
            ]
          : []),
      ]}
    />
  );
}
