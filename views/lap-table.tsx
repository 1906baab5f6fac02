import type { Lap } from '../server/heats/laps.ts';
import { DataTable } from './components/data-table.tsx';
import { lapTime } from './format.ts';
import { results as t } from './texts/en/results.ts';

interface LapTableProps {
  caption: string;
  laps: readonly Lap[];
  /** The fastest lap that counts as one; null: there is none. */
  fastestUs: number | null;
}

/** Every counted lap of a lane, with its flags in words. */
export function LapTable({ caption, laps, fastestUs }: LapTableProps) {
  const words = t.laps;
  const fastest = laps.find(({ durationUs, flags }) => durationUs === fastestUs && isClean(flags));
  return (
    <DataTable
      caption={caption}
      captionHidden
      dense
      rows={laps}
      rowKey={({ n }) => n}
      rowCurrent={(lap) => lap === fastest}
      empty={words.empty}
      columns={[
        { key: 'lap', head: words.lap, numeric: true, cell: ({ n }) => n },
        { key: 'time', head: words.time, numeric: true, cell: ({ durationUs }) => lapTime(durationUs) },
        { key: 'race', head: words.raceTime, numeric: true, cell: ({ endRaceUs }) => lapTime(Math.max(0, endRaceUs)) },
        {
          key: 'notes',
          head: words.notes,
          cell: (lap) =>
            [...lap.flags.map((flag) => words.flags[flag]), ...(lap === fastest ? [words.fastest] : [])].join(', '),
        },
      ]}
    />
  );
}

/** A standing lap can be a fastest lap where the race allows it. */
function isClean(flags: Lap['flags']): boolean {
  return flags.every((flag) => flag === 'standing');
}
