import { scaleLinear } from 'd3-scale';
import { area, line } from 'd3-shape';
import { rounded } from '../pace-numbers.ts';
import { paceDriver as t } from '../texts/en/pace-driver.ts';
import { DataTable } from './data-table.tsx';
import { Figure } from './figure.tsx';

export interface BandPoint {
  key: string;
  /** What stands below it: a date. */
  label: string;
  /** Seconds a lap, and limits that hold it in 9 of 10 cases; above 0. */
  middle: number;
  low: number;
  high: number;
}

interface PaceBandProps {
  id: string;
  title: string;
  description: string;
  /** Oldest first; at least one. */
  points: readonly BandPoint[];
}

const width = 760;
const height = 340;
const margin = { top: 34, right: 58, bottom: 46, left: 66 };
/** About so many labels stand below without touching. */
const mostLabels = 6;

/** Clean pace from night to night with what is not known of it, quicker further up. */
export function PaceBand({ id, title, description, points }: PaceBandProps) {
  const low = Math.min(...points.map((point) => point.low));
  const high = Math.max(...points.map((point) => point.high));
  const x = scaleLinear([0, Math.max(1, points.length - 1)], [margin.left + 24, width - margin.right]);
  const y = scaleLinear([low, Math.max(high, low + 0.05)], [margin.top, height - margin.bottom]).nice(5);
  const at = (index: number) => (points.length === 1 ? (margin.left + width - margin.right) / 2 : x(index));
  const band = area<BandPoint>()
    .x((_, index) => at(index))
    .y0((point) => y(point.low))
    .y1((point) => y(point.high))
    .digits(1);
  const middle = line<BandPoint>()
    .x((_, index) => at(index))
    .y((point) => y(point.middle))
    .digits(1);
  const foot = height - margin.bottom;
  const everySo = Math.max(1, Math.ceil(points.length / mostLabels));
  const format = y.tickFormat(5);
  return (
    <Figure id={id} title={title} description={description} table={<BandTable title={title} points={points} />}>
      <svg
        class="chart-drawing pace-band"
        viewBox={`0 0 ${width} ${height}`}
        role="img"
        aria-label={title}
        aria-describedby={`${id}-description`}
      >
        {y.ticks(5).map((tick) => (
          <g key={tick}>
            <path class="chart-grid" d={`M${margin.left} ${y(tick)}H${width - margin.right + 16}`} />
            <text class="chart-figure" x={margin.left - 10} y={y(tick) + 5} text-anchor="end">
              {format(tick)}
            </text>
          </g>
        ))}
        <text class="chart-word" x={8} y={16}>
          {t.band.axis}
        </text>
        {points.length > 1 ? <path class="pace-band-area" d={band(points) ?? ''} /> : null}
        {points.map((point, index) => (
          <path key={point.key} class="pace-limits" d={limits(at(index), y(point.low), y(point.high))} />
        ))}
        {points.length > 1 ? <path class="pace-line" d={middle(points) ?? ''} /> : null}
        {points.map((point, index) => (
          <g key={point.key}>
            <circle class="pace-dot" cx={at(index).toFixed(1)} cy={y(point.middle).toFixed(1)} r="5" />
            {(points.length - 1 - index) % everySo === 0 ? (
              <text class="chart-word" x={at(index)} y={foot + 26} text-anchor="middle">
                {point.label}
              </text>
            ) : null}
          </g>
        ))}
      </svg>
    </Figure>
  );
}

/** A stroke between two limits with a bar at each. */
const limits = (x: number, from: number, to: number): string =>
  `M${(x - 5).toFixed(1)} ${from.toFixed(1)}h10m-5 0V${to.toFixed(1)}m-5 0h10`;

function BandTable({ title, points }: { title: string; points: readonly BandPoint[] }) {
  const c = t.band.columns;
  return (
    <DataTable
      caption={title}
      captionHidden
      rows={points}
      rowKey={(point) => point.key}
      columns={[
        { key: 'night', head: c.night, rowHead: true, cell: (point) => point.label },
        { key: 'lap', head: c.lap, numeric: true, cell: (point) => rounded(point.middle, 2) },
        { key: 'low', head: c.low, numeric: true, cell: (point) => rounded(point.low, 2) },
        { key: 'high', head: c.high, numeric: true, cell: (point) => rounded(point.high, 2) },
      ]}
    />
  );
}
