import type { PwmMap } from '../server/profiles/motor/pwm-map.ts';
import { DataTable } from './components/data-table.tsx';
import { Plot, PlotFigure } from './components/plot.tsx';
import { axisOf, pathOf, zipped } from './motor-axis.ts';
import { MotorKey } from './motor-key.tsx';
import { rounded } from './pace-numbers.ts';
import { motor as t } from './texts/en/motor.ts';

/** Columns of the map that are drawn as lines: duty 20, 40 … 100 %. */
const drawnDuties = [0, 8, 16, 24, 32, 40] as const;

/** Mean current over the back EMF, a line a duty: how the motor pulls at small and large duty. */
export function MapPicture({ map, pwmHz }: { map: PwmMap; pwmHz: number }) {
  const title = t.map.title;
  const values = map.meanA.flatMap((row) => drawnDuties.map((k) => row[k] as number));
  const x = axisOf(0, 1, 5, false);
  const y = axisOf(Math.min(0, ...values), Math.max(0, ...values), 5);
  const linesOf = (k: number) =>
    zipped(
      map.backEmfs,
      map.meanA.map((row) => row[k] as number),
    );
  const percent = (share: number | undefined) => t.percent(rounded(100 * (share ?? 0), 0));
  return (
    <PlotFigure
      id="motor-map"
      title={title}
      description={t.map.description(pwmHz)}
      table={
        <DataTable
          caption={title}
          captionHidden
          dense
          rows={map.backEmfs.map((_, k) => k).filter((k) => k % 4 === 0)}
          rowKey={(k) => k}
          columns={[
            { key: 'speed', head: t.map.speed, rowHead: true, cell: (k) => percent(map.backEmfs[k]) },
            ...drawnDuties.map((duty) => ({
              key: `duty-${duty}`,
              head: `${t.map.duty} ${percent(map.duties[duty])}`,
              numeric: true,
              cell: (k: number) => t.amperes(rounded(map.meanA[k]?.[duty] as number, 2)),
            })),
          ]}
        />
      }
    >
      <Plot
        id="motor-map-lines"
        label={title}
        describedBy="motor-map-description"
        size="l"
        x={x.ticks.map(({ at }) => ({ at, label: percent(at) }))}
        y={y.ticks}
        xWord={t.map.speed}
        yWord={t.map.axis}
        lines={
          <>
            <path
              class="plot-mean"
              d={pathOf(
                [
                  [0, 0],
                  [1, 0],
                ],
                x,
                y,
              )}
              vector-effect="non-scaling-stroke"
            />
            {drawnDuties.map((k) => (
              <path
                key={k}
                class={`plot-line motor-duty-${k / 8}`}
                d={pathOf(linesOf(k), x, y)}
                vector-effect="non-scaling-stroke"
              />
            ))}
          </>
        }
      />
      <MotorKey
        lines={drawnDuties.map((k) => ({
          stroke: `motor-duty-${k / 8}`,
          word: `${t.map.duty} ${percent(map.duties[k])}`,
        }))}
      />
    </PlotFigure>
  );
}
