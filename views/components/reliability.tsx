import { scaleLinear } from 'd3-scale';
import type { ReliabilityBin } from '../../server/pace/promise.ts';
import { rounded, wholePercent } from '../pace-numbers.ts';
import { pacePromise as t } from '../texts/en/pace-promise.ts';
import { DataTable } from './data-table.tsx';
import { Figure } from './figure.tsx';

interface ReliabilityDiagramProps {
  id: string;
  title: string;
  description: string;
  /** By rising chance. */
  bins: readonly ReliabilityBin[];
}

const width = 440;
const height = 400;
const margin = { top: 26, right: 24, bottom: 60, left: 74 };

/**
 * Chances told against shares that came true, each with its count and its limits. What was told right lies on the
 * diagonal. (A. H. Murphy, R. L. Winkler, Applied Statistics 26, 1977, 41-47.)
 */
export function ReliabilityDiagram({ id, title, description, bins }: ReliabilityDiagramProps) {
  const most = Math.max(...bins.map(({ told, high }) => Math.max(told, high)), 0.5);
  const top = Math.min(1, Math.ceil(most * 10) / 10);
  const x = scaleLinear([0, top], [margin.left, width - margin.right]);
  const y = scaleLinear([0, top], [height - margin.bottom, margin.top]);
  const foot = height - margin.bottom;
  const ticks = x.ticks(4);
  return (
    <Figure id={id} title={title} description={description} table={<BinsTable title={title} bins={bins} />}>
      <svg
        class="chart-drawing reliability"
        viewBox={`0 0 ${width} ${height}`}
        role="img"
        aria-label={title}
        aria-describedby={`${id}-description`}
      >
        {ticks.map((tick) => (
          <g key={tick}>
            <path class="chart-grid" d={`M${margin.left} ${y(tick)}H${width - margin.right}`} />
            <path class="chart-grid" d={`M${x(tick)} ${margin.top}V${foot}`} />
            <text class="chart-figure" x={x(tick)} y={foot + 20} text-anchor="middle">
              {wholePercent(tick)}
            </text>
            <text class="chart-figure" x={margin.left - 10} y={y(tick) + 5} text-anchor="end">
              {wholePercent(tick)}
            </text>
          </g>
        ))}
        <path class="pace-zero" d={`M${x(0)} ${y(0)}L${x(top)} ${y(top)}`} />
        <text class="chart-word" x={(margin.left + width - margin.right) / 2} y={height - 12} text-anchor="middle">
          {t.toldAxis}
        </text>
        <text
          class="chart-word"
          transform={`translate(18 ${(margin.top + foot) / 2}) rotate(-90)`}
          text-anchor="middle"
        >
          {t.cameAxis}
        </text>
        {bins.map(({ from, told, rate, low, high, starts }) => (
          <g key={from}>
            <path
              class="pace-limits"
              d={`M${(x(told) - 6).toFixed(1)} ${y(low).toFixed(1)}h12m-6 0V${y(high).toFixed(1)}m-6 0h12`}
            />
            <circle class="pace-dot" cx={x(told).toFixed(1)} cy={y(rate).toFixed(1)} r={dotRadius(starts)} />
            <text class="chart-name" x={x(told).toFixed(1)} y={(y(high) - 6).toFixed(1)} text-anchor="middle">
              {starts}
            </text>
          </g>
        ))}
      </svg>
    </Figure>
  );
}

/** Its area grows with the count, within what can be drawn. */
const dotRadius = (starts: number) => Math.min(11, 3.5 + Math.sqrt(starts) / 3).toFixed(1);

function BinsTable({ title, bins }: { title: string; bins: readonly ReliabilityBin[] }) {
  const c = t.columns;
  return (
    <DataTable
      caption={title}
      captionHidden
      rows={bins}
      rowKey={({ from }) => from}
      columns={[
        { key: 'told', head: c.told, rowHead: true, cell: ({ told }) => wholePercent(told) },
        { key: 'starts', head: c.starts, numeric: true, cell: ({ starts }) => starts },
        { key: 'won', head: c.won, numeric: true, cell: ({ won }) => rounded(won, Number.isInteger(won) ? 0 : 1) },
        { key: 'rate', head: c.came, numeric: true, cell: ({ rate }) => wholePercent(rate) },
        {
          key: 'limits',
          head: c.limits,
          numeric: true,
          cell: (bin) => t.between(wholePercent(bin.low), wholePercent(bin.high)),
        },
      ]}
    />
  );
}
