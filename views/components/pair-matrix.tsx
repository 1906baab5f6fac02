import { shortName } from '../short-name.ts';
import { rotationPictures } from '../texts/en/rotation-pictures.ts';
import { DataTable } from './data-table.tsx';
import { Figure } from './figure.tsx';
import { pairLayout, pairLevels } from './pair-layout.ts';

const t = rotationPictures.pairs;

interface PairMatrixProps {
  id: string;
  /** Default: "Who meets whom". */
  title?: string | undefined;
  drivers: readonly { key: string; name: string }[];
  /** Heats that two drivers share, by their places in `drivers`. */
  meetings: readonly (readonly number[])[];
  /** Key of a driver who stands out; null for nobody. */
  path?: string | null | undefined;
}

/**
 * How often each two drivers meet, as a triangle. A driver's name ends the own row and begins the own column. The shade
 * says the same as the number; with many drivers the numbers stay in the table alone.
 */
export function PairMatrix({ id, title = t.title, drivers, meetings, path = null }: PairMatrixProps) {
  if (drivers.length < 2) return null;
  const of = (i: number, j: number) => meetings[i]?.[j] ?? 0;
  const { cell, width, height, numbers, fits } = pairLayout(drivers.length);
  const counts = drivers.flatMap((_, i) => drivers.slice(0, i).map((_, j) => of(i, j)));
  const { levelOf, key } = pairLevels(counts);
  const mine = drivers.findIndex((driver) => driver.key === path);
  const least = Math.min(...counts);
  const most = Math.max(...counts);
  return (
    <Figure
      id={id}
      title={title}
      description={t.description(least, most)}
      table={<PairTable drivers={drivers} of={of} />}
    >
      <svg
        class={`pair-matrix ${fits ? 'pair-fits' : ''} ${numbers ? '' : 'pair-small'}`}
        viewBox={`0 0 ${width} ${height}`}
        width={width}
        height={height}
        role="img"
        aria-label={title}
        aria-describedby={`${id}-description`}
      >
        {drivers.map(({ key, name }, i) => (
          <g key={key} class={i === mine ? 'pair-mine' : undefined}>
            {drivers.slice(0, i).map((other, j) => (
              <PairCell key={other.key} x={j * cell} y={i * cell} size={cell} level={levelOf(of(i, j))}>
                {numbers ? of(i, j) : null}
              </PairCell>
            ))}
            <text class="pair-name" x={i * cell + 5} y={(i + 0.5) * cell} dy="0.36em">
              {shortName(name)}
            </text>
          </g>
        ))}
      </svg>
      <ul class="picture-key">
        {key.map(({ level, from, to, pairs }) => (
          <li key={level}>
            <svg class="pair-key" viewBox="0 0 20 20" aria-hidden="true" focusable="false">
              <rect class={`pair-cell pair-level-${level}`} x="1" y="1" width="18" height="18" />
            </svg>
            {t.key(from, to, pairs)}
          </li>
        ))}
      </ul>
    </Figure>
  );
}

interface PairCellProps {
  x: number;
  y: number;
  size: number;
  level: number;
  /** The number of meetings; null where there is no room for it. */
  children: number | null;
}

function PairCell({ x, y, size, level, children }: PairCellProps) {
  return (
    <>
      <rect class={`pair-cell pair-level-${level}`} x={x} y={y} width={size} height={size} />
      {children === null ? null : (
        <text
          class={level === 3 ? 'pair-count pair-on-dark' : 'pair-count'}
          x={x + size / 2}
          y={y + size / 2}
          dy="0.36em"
          text-anchor="middle"
        >
          {children}
        </text>
      )}
    </>
  );
}

type PairTableProps = Pick<PairMatrixProps, 'drivers'> & { of: (i: number, j: number) => number };

function PairTable({ drivers, of }: PairTableProps) {
  const rows = drivers.map((driver, i) => ({ ...driver, i }));
  return (
    <DataTable
      caption={t.caption}
      captionHidden
      rows={rows}
      rowKey={(row) => row.key}
      dense
      columns={[
        { key: 'driver', head: t.driver, rowHead: true, cell: (row) => <bdi>{row.name}</bdi> },
        ...rows.slice(0, -1).map((column) => ({
          key: column.key,
          head: <bdi>{column.name}</bdi>,
          numeric: true,
          cell: (row: (typeof rows)[number]) => (row.i > column.i ? of(row.i, column.i) : ''),
        })),
      ]}
    />
  );
}
