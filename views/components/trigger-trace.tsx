import { scaleLinear } from 'd3-scale';
import { unitCheck } from '../texts/en/unit-check.ts';
import { DataTable } from './data-table.tsx';
import { onSquare, Plot, PlotFigure, PlotLine, up } from './plot.tsx';

interface TriggerTraceProps {
  id: string;
  bits: number;
  restSamples: number;
  /** At least one. */
  counts: readonly number[];
  /** Where the ends were found, on the sensor's circle; null where nothing was. */
  ends: { readonly released: number; readonly pressed: number } | null;
}

const t = unitCheck.chart;
/** Steps that a picture of this width can show. */
const columns = 400;
const rowsOfTable = 12;

/** Readings of a trigger one after the other, with the part of hands off and the ends that were found. */
export function TriggerTrace({ id, bits, restSamples, counts, ends }: TriggerTraceProps) {
  const n = counts.length;
  const shown = columnsOf(counts, columns);
  const low = Math.min(...shown.map(({ least }) => least));
  const high = Math.max(...shown.map(({ most }) => most));
  const pad = Math.max(10, (high - low) * 0.08);
  const y = scaleLinear([Math.max(0, low - pad), Math.min(2 ** bits - 1, high + pad)], [0, 1]);
  const x = scaleLinear([0, Math.max(1, n - 1)], [0, 1]);
  const tick = (scale: typeof x, count: number) =>
    scale.ticks(count).map((at) => ({ at: scale(at), label: String(at) }));
  const words = t.description(n, Math.min(n, restSamples)) + (ends ? t.ends(ends.released, ends.pressed) : '');
  return (
    <PlotFigure id={id} title={t.title} description={words} table={<TraceTable counts={counts} />}>
      <Plot
        id={`${id}-drawing`}
        label={t.title}
        describedBy={`${id}-description`}
        x={tick(x, 5)}
        y={tick(y, 5)}
        xWord={t.readings}
        yWord={t.counts}
        lines={
          <>
            <rect class="plot-released" x="0" y="0" width={onSquare.x(x(Math.min(n, restSamples)))} height="1000" />
            <PlotLine tone="own" d={pathOf(shown, x, y, 2 ** bits)} />
          </>
        }
      >
        <text class="plot-word" x="0" y="50%" dx="0.4em">
          {t.rest}
        </text>
        {ends ? <EndLine word={t.released} share={y(ends.released)} /> : null}
        {ends ? <EndLine word={t.pressed} share={y(ends.pressed)} /> : null}
      </Plot>
    </PlotFigure>
  );
}

function EndLine({ word, share }: { word: string; share: number }) {
  return (
    <>
      <line class="plot-mean" x1="0" x2="100%" y1={up(share)} y2={up(share)} />
      <text class="plot-name" x="100%" y={up(share)} dy="-0.4em" text-anchor="end">
        {word}
      </text>
    </>
  );
}

interface TraceColumn {
  /** Numbers of the first and of the last reading. */
  readonly from: number;
  readonly to: number;
  readonly first: number;
  readonly last: number;
  readonly least: number;
  readonly most: number;
}

/** Readings in at most so many groups of neighbours. */
function columnsOf(counts: readonly number[], most: number): TraceColumn[] {
  const size = Math.max(1, Math.ceil(counts.length / most));
  const groups: TraceColumn[] = [];
  for (let from = 0; from < counts.length; from += size) {
    const group = counts.slice(from, from + size);
    groups.push({
      from,
      to: from + group.length - 1,
      first: group[0] as number,
      last: group.at(-1) as number,
      least: Math.min(...group),
      most: Math.max(...group),
    });
  }
  return groups;
}

type Scale = (value: number) => number;

/** The line through all groups; broken where the count starts again at 0, which is no movement. */
function pathOf(groups: readonly TraceColumn[], x: Scale, y: Scale, turn: number): string {
  const point = (at: number, count: number) =>
    `${Math.round(onSquare.x(x(at)))} ${Math.round(onSquare.y(y(count)) * 10) / 10}`;
  let before: number | null = null;
  return groups
    .map(({ from, to, first, last, least, most }) => {
      const isBroken = before === null || Math.abs(first - before) > turn / 2;
      before = last;
      const start = `${isBroken ? 'M' : 'L'}${point(from, first)}`;
      if (from === to) return start;
      const middle = (from + to) / 2;
      const isWrapped = most - least > turn / 2;
      return isWrapped
        ? `${start}M${point(to, last)}`
        : `${start}L${point(middle, least)}L${point(middle, most)}L${point(to, last)}`;
    })
    .join('');
}

function TraceTable({ counts }: { counts: readonly number[] }) {
  const words = unitCheck.tableColumns;
  return (
    <DataTable
      caption={t.title}
      captionHidden
      dense
      rows={columnsOf(counts, rowsOfTable)}
      rowKey={({ from }) => from}
      columns={[
        { key: 'from', head: words.from, numeric: true, rowHead: true, cell: ({ from }) => from + 1 },
        { key: 'to', head: words.to, numeric: true, cell: ({ to }) => to + 1 },
        { key: 'least', head: words.least, numeric: true, cell: ({ least }) => least },
        { key: 'most', head: words.most, numeric: true, cell: ({ most }) => most },
      ]}
    />
  );
}
