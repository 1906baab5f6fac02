import { scaleLinear } from 'd3-scale';
import { curveBumpX, line } from 'd3-shape';
import { shortName } from '../short-name.ts';
import { common } from '../texts/en/common.ts';
import { DataTable } from './data-table.tsx';
import { Figure } from './figure.tsx';

export interface LapChartLine {
  key: string;
  name: string;
  /** Place after lap 1, 2, …; null where the driver was no longer running. */
  places: readonly (number | null)[];
  /** Drawn heavier: the reader's own line, or the winner's. */
  strong?: boolean | undefined;
}

interface LapChartProps {
  id: string;
  title: string;
  description: string;
  /** In the order of the result; at most 16. */
  lines: readonly LapChartLine[];
  /** What the lines go through; default: laps. */
  step?: string | undefined;
}

/** Sixteen dashes that stay apart without colour, together with the name at both ends and the mark. */
const dashes = ['', '9 3', '2 3', '12 3 2 3', '5 5', '14 6', '1 4', '8 3 2 3 2 3'] as const;

const width = 760;
const rowHeight = 30;
const margin = { top: 12, right: 132, bottom: 40, left: 34 };

/** About this many numbers along the bottom: more would touch on a phone. */
const tickCount = 8;

/** Place after each lap: a line for every driver, named at its end. */
export function LapChart({ id, title, description, lines, step = common.lapChart.lap }: LapChartProps) {
  const lapCount = Math.max(1, ...lines.map(({ places }) => places.length));
  const placeCount = Math.max(1, lines.length);
  const height = margin.top + rowHeight * placeCount + margin.bottom;
  const x = scaleLinear([1, Math.max(2, lapCount)], [margin.left, width - margin.right]);
  const y = scaleLinear([1, placeCount + 1], [margin.top + rowHeight / 2, height - margin.bottom + rowHeight / 2]);
  const path = line<number | null>()
    .defined((place) => place !== null)
    .x((_place, index) => x(index + 1))
    .y((place) => y(place ?? 0))
    .curve(curveBumpX)
    .digits(1);
  const ticks = x.ticks(tickCount).filter((tick) => Number.isInteger(tick) && tick <= lapCount);
  return (
    <Figure
      id={id}
      title={title}
      description={description}
      table={<PlacesTable title={title} lines={lines} laps={lapCount} />}
    >
      <svg
        class="chart-drawing lap-chart"
        viewBox={`0 0 ${width} ${height}`}
        role="img"
        aria-label={title}
        aria-describedby={`${id}-description`}
      >
        {ticks.map((lap) => (
          <g key={lap}>
            <path class="chart-grid" d={`M${x(lap)} ${margin.top}V${height - margin.bottom + 6}`} />
            <text class="chart-figure" x={x(lap)} y={height - margin.bottom + 22} text-anchor="middle">
              {lap}
            </text>
          </g>
        ))}
        <text class="chart-word" x={(margin.left + width - margin.right) / 2} y={height - 2} text-anchor="middle">
          {step}
        </text>
        {lines.map((_, index) => (
          <text class="chart-figure" key={index + 1} x={margin.left - 16} y={y(index + 1) + 5} text-anchor="end">
            {index + 1}
          </text>
        ))}
        {/* Later is on top: the strong lines are drawn last. */}
        {[false, true].map((strong) =>
          lines.map((one, index) =>
            (one.strong ?? false) === strong ? (
              <ChartLine key={one.key} one={one} index={index} d={path(one.places) ?? ''} x={x} y={y} />
            ) : null,
          ),
        )}
      </svg>
    </Figure>
  );
}

type Scale = (value: number) => number;

function ChartLine({ one, index, d, x, y }: { one: LapChartLine; index: number; d: string; x: Scale; y: Scale }) {
  const lastLap = one.places.findLastIndex((place) => place !== null);
  if (lastLap < 0) return null;
  const place = one.places[lastLap] as number;
  const firstPlace = one.places.find((each) => each !== null) as number;
  const tone = `chart-tone-${index % 2}`;
  return (
    <g class={one.strong ? `chart-line chart-line-strong ${tone}` : `chart-line ${tone}`}>
      <path class="chart-stroke" d={d} stroke-dasharray={dashes[index % dashes.length]} />
      <circle class="chart-dot" cx={x(one.places.findIndex((each) => each !== null) + 1)} cy={y(firstPlace)} r="4" />
      <circle class="chart-dot" cx={x(lastLap + 1)} cy={y(place)} r="4" />
      <text class="chart-name" x={x(lastLap + 1) + 10} y={y(place) + 5}>
        {shortName(one.name)}
      </text>
    </g>
  );
}

function PlacesTable({ title, lines, laps }: { title: string; lines: readonly LapChartLine[]; laps: number }) {
  const lapNumbers = Array.from({ length: laps }, (_, index) => index + 1);
  return (
    <DataTable
      caption={title}
      captionHidden
      dense
      rows={lines}
      rowKey={(one) => one.key}
      columns={[
        { key: 'name', head: common.lapChart.driver, rowHead: true, cell: (one) => one.name },
        ...lapNumbers.map((lap) => ({
          key: String(lap),
          head: lap,
          numeric: true,
          cell: (one: LapChartLine) => one.places[lap - 1] ?? common.lapChart.notRunning,
        })),
      ]}
    />
  );
}
