import { scaleLinear } from 'd3-scale';
import { lapTime } from '../format.ts';
import { shortName } from '../short-name.ts';
import { common } from '../texts/en/common.ts';
import { DataTable } from './data-table.tsx';
import { Figure } from './figure.tsx';

export interface SpreadRow {
  key: string;
  name: string;
  /** Every counted lap, µs. */
  lapsUs: readonly number[];
  /** Lower quartile, median and upper quartile of these laps, µs. */
  lowerUs: number;
  medianUs: number;
  upperUs: number;
}

interface SpreadPlotProps {
  id: string;
  title: string;
  description: string;
  rows: readonly SpreadRow[];
}

const width = 760;
const rowHeight = 44;
const margin = { top: 8, right: 92, bottom: 44, left: 132 };

/**
 * Laps beyond the upper fence, 1.5 interquartile ranges above the upper quartile (Tukey, "Exploratory Data Analysis",
 * 1977), hold a deslot or a call: they are counted at the edge instead of drawn, so that the others have the room.
 */
function fence({ lowerUs, upperUs }: SpreadRow): number {
  return upperUs + 1.5 * (upperUs - lowerUs);
}

/** Every lap of every driver as a dot, the middle half as a bar, the median as a stroke: fast and steady at a glance. */
export function SpreadPlot({ id, title, description, rows }: SpreadPlotProps) {
  const all = rows.flatMap(({ lapsUs }) => lapsUs);
  const edgeUs = Math.min(Math.max(...all), Math.max(...rows.map(fence)));
  const lowUs = Math.min(...all);
  const x = scaleLinear([lowUs / 1e6, Math.max(edgeUs, lowUs + 1e5) / 1e6], [margin.left, width - margin.right]).nice(
    6,
  );
  const at = (us: number) => Math.round(x(us / 1e6) * 10) / 10;
  const drawnTo = (x.domain()[1] as number) * 1e6;
  const height = margin.top + rowHeight * rows.length + margin.bottom;
  const foot = height - margin.bottom;
  const format = x.tickFormat(6);
  return (
    <Figure id={id} title={title} description={description} table={<SpreadTable title={title} rows={rows} />}>
      <svg
        class="chart-drawing spread-plot"
        viewBox={`0 0 ${width} ${height}`}
        role="img"
        aria-label={title}
        aria-describedby={`${id}-description`}
      >
        {x.ticks(6).map((tick) => (
          <g key={tick}>
            <path class="chart-grid" d={`M${x(tick)} ${margin.top}V${foot + 6}`} />
            <text class="chart-figure" x={x(tick)} y={foot + 22} text-anchor="middle">
              {format(tick)}
            </text>
          </g>
        ))}
        <text class="chart-word" x={(margin.left + width - margin.right) / 2} y={height - 4} text-anchor="middle">
          {common.spread.seconds}
        </text>
        {rows.map((row, index) => {
          const middle = margin.top + rowHeight * (index + 0.5);
          const longer = row.lapsUs.filter((us) => us > drawnTo).length;
          return (
            <g key={row.key}>
              <text class="chart-name" x={margin.left - 14} y={middle + 5} text-anchor="end">
                {shortName(row.name)}
              </text>
              <path
                class="spread-box"
                d={`M${at(row.lowerUs)} ${middle - 12}H${at(row.upperUs)}v24H${at(row.lowerUs)}z`}
              />
              <path class="spread-dots" d={dots(row.lapsUs, drawnTo, at, middle)} />
              <path class="spread-median" d={`M${at(row.medianUs)} ${middle - 16}v32`} />
              {longer > 0 ? (
                <text class="chart-word" x={width - margin.right + 10} y={middle + 5}>
                  {common.spread.longer(longer)}
                </text>
              ) : null}
            </g>
          );
        })}
      </svg>
    </Figure>
  );
}

/** Neighbouring laps take turns on five heights, so that equal laps do not hide one another. */
const heights = [0, -6, 6, -3, 3];

function dots(lapsUs: readonly number[], upToUs: number, at: (us: number) => number, middle: number): string {
  return [...lapsUs]
    .filter((us) => us <= upToUs)
    .sort((a, b) => a - b)
    .map(
      (us, index) =>
        `M${at(us) - 2.5} ${middle + (heights[index % heights.length] ?? 0)}a2.5 2.5 0 1 0 5 0a2.5 2.5 0 1 0-5 0z`,
    )
    .join('');
}

function SpreadTable({ title, rows }: { title: string; rows: readonly SpreadRow[] }) {
  const texts = common.spread;
  return (
    <DataTable
      caption={title}
      captionHidden
      rows={rows}
      rowKey={(row) => row.key}
      columns={[
        { key: 'name', head: texts.driver, rowHead: true, cell: (row) => row.name },
        { key: 'laps', head: texts.laps, numeric: true, cell: (row) => row.lapsUs.length },
        { key: 'best', head: texts.best, numeric: true, cell: (row) => lapTime(Math.min(...row.lapsUs)) },
        { key: 'lower', head: texts.lower, numeric: true, cell: (row) => lapTime(Math.floor(row.lowerUs)) },
        { key: 'median', head: texts.median, numeric: true, cell: (row) => lapTime(Math.floor(row.medianUs)) },
        { key: 'upper', head: texts.upper, numeric: true, cell: (row) => lapTime(Math.floor(row.upperUs)) },
      ]}
    />
  );
}
