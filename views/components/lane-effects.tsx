import { scaleLinear } from 'd3-scale';
import type { ComparedLane } from '../../server/pace/lane-comparison.ts';
import { signed } from '../pace-numbers.ts';
import { paceLanes as t } from '../texts/en/pace-lanes.ts';
import { DataTable } from './data-table.tsx';
import { Figure } from './figure.tsx';
import type { LaneLook } from './lane-defaults.ts';
import { LaneMark } from './lane-mark.tsx';

interface LaneEffectsProps {
  id: string;
  title: string;
  description: string;
  rows: readonly { readonly look: LaneLook; readonly effect: ComparedLane }[];
}

const width = 440;
const rowHeight = 44;
const margin = { top: 30, right: 34, bottom: 40, left: 78 };

/** What each lane adds to a lap or takes off, with what is not known of it: quicker lanes to the left. */
export function LaneEffects({ id, title, description, rows }: LaneEffectsProps) {
  const reach = Math.max(0.5, ...rows.flatMap(({ effect: { percent } }) => [-percent.low, percent.high]));
  const x = scaleLinear([-reach, reach], [margin.left, width - margin.right]).nice(4);
  const foot = margin.top + rowHeight * rows.length;
  const at = (value: number) => x(value).toFixed(1);
  return (
    <Figure id={id} title={title} description={description} table={<EffectsTable title={title} rows={rows} />}>
      <svg
        class="chart-drawing lane-effects"
        viewBox={`0 0 ${width} ${foot + margin.bottom}`}
        role="img"
        aria-label={title}
        aria-describedby={`${id}-description`}
      >
        <text class="chart-word" x={margin.left} y={16}>
          {t.quicker}
        </text>
        <text class="chart-word" x={width - margin.right} y={16} text-anchor="end">
          {t.slower}
        </text>
        {x.ticks(4).map((tick) => (
          <g key={tick}>
            <path class={tick === 0 ? 'pace-zero' : 'chart-grid'} d={`M${x(tick)} ${margin.top}V${foot + 6}`} />
            <text class="chart-figure" x={x(tick)} y={foot + 24} text-anchor="middle">
              {t.percent(signed(tick, 1))}
            </text>
          </g>
        ))}
        {rows.map(({ look, effect }, index) => {
          const middle = margin.top + rowHeight * (index + 0.5);
          const { percent } = effect;
          return (
            <g key={effect.lane}>
              <text class="chart-name" x={margin.left - 14} y={middle + 5} text-anchor="end">
                {t.lane(effect.lane)}
              </text>
              <path
                class="pace-limits"
                d={`M${at(percent.low)} ${middle - 11}v22m0 -11H${at(percent.high)}m0 -11v22`}
              />
              <rect
                class="lane-edge"
                x={(x(percent.middle) - 5).toFixed(1)}
                y={middle - 5}
                width="10"
                height="10"
                rx="2"
                fill={look.colour}
                stroke-width="2"
              />
            </g>
          );
        })}
      </svg>
    </Figure>
  );
}

function EffectsTable({ title, rows }: Pick<LaneEffectsProps, 'title' | 'rows'>) {
  const c = t.columns;
  return (
    <DataTable
      caption={title}
      captionHidden
      rows={rows}
      rowKey={({ effect }) => effect.lane}
      columns={[
        { key: 'lane', head: c.lane, rowHead: true, cell: ({ look }) => <LaneMark lane={look} size="s" /> },
        { key: 'percent', head: c.percent, numeric: true, cell: ({ effect }) => signed(effect.percent.middle, 2) },
        {
          key: 'seconds',
          head: c.seconds,
          numeric: true,
          cell: ({ effect }) => signed(effect.secondsPerLap.middle, 3),
        },
        {
          key: 'limits',
          head: c.limits,
          numeric: true,
          cell: ({ effect }) => t.between(signed(effect.secondsPerLap.low, 3), signed(effect.secondsPerLap.high, 3)),
        },
        { key: 'verdict', head: c.verdict, cell: ({ effect }) => t.verdicts[effect.verdict] },
      ]}
    />
  );
}
