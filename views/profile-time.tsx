import { line } from 'd3-shape';
import type { TraceRow } from '../server/profiles/model/trace.ts';
import type { PicturesData } from '../server/profiles/pictures.ts';
import { DataTable } from './components/data-table.tsx';
import { onSquare, Plot, PlotFigure, PlotLine, type Tick } from './components/plot.tsx';
import { rounded } from './pace-numbers.ts';
import { type PictureNames, percentOf, percentTicks } from './profile-throttle.tsx';
import { profilePictures as t } from './texts/en/profile-pictures.ts';

interface TimeProps {
  data: PicturesData;
  names: PictureNames;
}

type Quantity = 'x' | 'duty' | 'offShort';

const halves = percentTicks.filter((_, index) => index % 2 === 0);

/** The path of a quantity over the time from the first row to the last. */
function overTime(rows: readonly TraceRow[], quantity: Quantity): string {
  const [from, to] = [rows[0]?.ms ?? 0, rows.at(-1)?.ms ?? 1];
  const path = line<TraceRow>()
    .x(({ ms }) => onSquare.x((ms - from) / Math.max(1, to - from)))
    .y((row) => onSquare.y(row[quantity]))
    .digits(1);
  // Rows in the middle of a level stretch say nothing; without them a picture weighs a tenth.
  const telling = rows.filter((row, index) => {
    const [before, after] = [rows[index - 1], rows[index + 1]];
    return !before || !after || before[quantity] !== row[quantity] || after[quantity] !== row[quantity];
  });
  return path(telling) ?? '';
}

/** About five marks on round numbers of milliseconds. */
function timeTicks(fromMs: number, toMs: number, zeroMs = 0): Tick[] {
  const span = toMs - fromMs;
  const every = [50, 100, 200, 500, 1000, 2000, 5000, 10_000].find((step) => span / step <= 5.5) ?? 20_000;
  const ticks: Tick[] = [];
  const first = Math.ceil((fromMs - zeroMs) / every) * every;
  for (let ms = first; ms <= toMs - zeroMs; ms += every)
    ticks.push({ at: (ms + zeroMs - fromMs) / span, label: t.ms(ms) });
  return ticks;
}

/** Drive in time after the trigger is pressed at once. */
export function StepPicture({ data, names }: TimeProps) {
  const { own, other, stepAtMs } = data;
  const fullAt = own.step.find(({ duty }) => duty >= own.maxDrive - 1e-9)?.ms ?? stepAtMs;
  const times = [0, 20, 50, 100, 150, 200, 300, 400, 500];
  const at = (rows: readonly TraceRow[], ms: number) => rows.find((row) => row.ms === stepAtMs + ms)?.duty ?? 0;
  return (
    <PlotFigure
      id="step"
      title={t.step.title}
      description={t.step.description(fullAt - stepAtMs)}
      table={
        <DataTable
          caption={t.step.table}
          captionHidden
          dense
          rows={times}
          rowKey={(ms) => ms}
          columns={[
            { key: 'ms', head: t.step.column, rowHead: true, cell: (ms) => t.ms(ms) },
            { key: 'own', head: names.own, numeric: true, cell: (ms) => t.percent(rounded(100 * at(own.step, ms), 1)) },
            ...(other
              ? [
                  {
                    key: 'other',
                    head: names.other,
                    numeric: true,
                    cell: (ms: number) => t.percent(rounded(100 * at(other.step, ms), 1)),
                  },
                ]
              : []),
          ]}
        />
      }
    >
      <PlotKey data={data} names={names} />
      <Plot
        id="step-lines"
        label={t.step.title}
        describedBy="step-description"
        x={timeTicks(0, own.step.at(-1)?.ms ?? 1, stepAtMs)}
        y={halves}
        xWord={t.time}
        yWord={t.drive}
        lines={
          <>
            {other ? <PlotLine tone="other" d={overTime(other.step, 'duty')} /> : null}
            <PlotLine tone="own" d={overTime(own.step, 'duty')} />
          </>
        }
      />
    </PlotFigure>
  );
}

/** Which line is whose, where lines run too close for names of their own. */
export function PlotKey({ data, names }: TimeProps) {
  if (data.other === null) return null;
  return (
    <ul class="plot-key">
      {(['own', 'other'] as const).map((tone) => (
        <li key={tone}>
          <svg class="plot-key-line" viewBox="0 0 40 14" aria-hidden="true" focusable="false">
            <path class={`plot-line plot-${tone}`} d="M1 7H39" />
          </svg>
          {names[tone]}
        </li>
      ))}
    </ul>
  );
}

/** Drive and brake while the trigger goes through a movement. */
export function TracePicture({ data, names }: TimeProps) {
  return (
    <PlotFigure
      id="trace"
      title={t.trace.title}
      description={t.trace.description}
      table={<TraceTable data={data} names={names} />}
    >
      <TracePlots data={data} names={names} />
    </PlotFigure>
  );
}

/** Three strips over the same time: trigger, drive, brake. */
export function TracePlots({ data, names }: TimeProps) {
  const { own, other } = data;
  const [from, to] = [own.trace[0]?.ms ?? 0, own.trace.at(-1)?.ms ?? 1];
  const strips = [
    { key: 'x', word: t.trigger },
    { key: 'duty', word: t.drive },
    { key: 'offShort', word: t.brake },
  ] as const;
  return (
    <div class="trace-plots" id="trace-plots">
      <PlotKey data={data} names={names} />
      {strips.map(({ key, word }, index) => (
        <Plot
          key={key}
          id={`trace-${key}`}
          label={`${t.trace.title}: ${word}`}
          describedBy="trace-description"
          size="s"
          x={index === strips.length - 1 ? timeTicks(from, to) : []}
          y={halves}
          xWord={index === strips.length - 1 ? t.time : ''}
          yWord={word}
          lines={
            <>
              {other && key !== 'x' ? <PlotLine tone="other" d={overTime(other.trace, key)} /> : null}
              <PlotLine tone="own" d={overTime(own.trace, key)} />
            </>
          }
        />
      ))}
    </div>
  );
}

/** A row for about every twentieth of the movement. */
export function TraceTable({ data: { own, other }, names }: TimeProps) {
  const every = Math.max(1, Math.round((own.trace.length - 1) / 20));
  const rows = own.trace
    .map((row, index) => ({ row, there: other?.trace[index] ?? null }))
    .filter((_, index) => index % every === 0);
  type Row = (typeof rows)[number];
  const share = (value: number | undefined) => t.percent(percentOf(value ?? 0));
  return (
    <DataTable
      caption={t.trace.table}
      captionHidden
      dense
      rows={rows}
      rowKey={({ row }) => row.ms}
      columns={[
        { key: 'ms', head: t.trace.column, rowHead: true, cell: ({ row }) => t.ms(row.ms) },
        { key: 'x', head: t.trigger, numeric: true, cell: ({ row }) => share(row.x) },
        { key: 'duty', head: `${t.drive}, ${names.own}`, numeric: true, cell: ({ row }) => share(row.duty) },
        { key: 'brake', head: `${t.brake}, ${names.own}`, numeric: true, cell: ({ row }) => share(row.offShort) },
        ...(other
          ? [
              {
                key: 'otherDuty',
                head: `${t.drive}, ${names.other}`,
                numeric: true,
                cell: ({ there }: Row) => share(there?.duty),
              },
              {
                key: 'otherBrake',
                head: `${t.brake}, ${names.other}`,
                numeric: true,
                cell: ({ there }: Row) => share(there?.offShort),
              },
            ]
          : []),
      ]}
    />
  );
}
