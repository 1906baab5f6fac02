import type { BrakeRun, PicturesData, ProfilePicture } from '../server/profiles/pictures.ts';
import { DataTable } from './components/data-table.tsx';
import { across, Plot, PlotFigure, PlotLine, type PlotTone, type Tick } from './components/plot.tsx';
import type { PictureNames } from './profile-throttle.tsx';
import { percentOf, percentTicks } from './profile-throttle.tsx';
import { PlotKey } from './profile-time.tsx';
import { profilePictures as t } from './texts/en/profile-pictures.ts';

/** The part of the width that shows the trigger let go: far too little of the travel to be seen at its true size. */
const letGo = 0.26;

/** Where a part of the trigger that is not let go stands. */
const place = (x: number, released: number) => letGo + ((1 - letGo) * Math.max(0, x - released)) / (1 - released);

type Direction = 'opening' | 'closing';
interface BrakeProps {
  data: PicturesData;
  names: PictureNames;
}

/** How hard the motor is braked: let go, and over the trigger; both directions in one where they are alike. */
export function BrakePicture({ data, names }: BrakeProps) {
  return (
    <PlotFigure
      id="brake"
      title={t.brakes.title}
      description={t.brakes.description}
      table={<BrakeTable data={data} names={names} />}
    >
      <BrakePlots data={data} names={names} />
    </PlotFigure>
  );
}

export function BrakePlots({ data, names }: BrakeProps) {
  const { own, other } = data;
  const directions = directionsOf(data);
  return (
    <div class="brake-plots">
      {other === null ? null : directions.some(({ direction }) => differ(own, other, direction)) ? (
        <PlotKey data={data} names={names} />
      ) : (
        <p class="plot-key">{t.both}</p>
      )}
      {directions.map(({ direction, word }) => (
        <div key={direction}>
          <p class="plot-title">{word}</p>
          <BrakePlot data={data} direction={direction} word={word} />
        </div>
      ))}
    </div>
  );
}

const same = (a: readonly BrakeRun[], b: readonly BrakeRun[]) => JSON.stringify(a) === JSON.stringify(b);

function directionsOf({ own, other }: PicturesData): { direction: Direction; word: string }[] {
  const alike = [own, other].every((one) => one === null || same(one.opening, one.closing));
  if (alike) return [{ direction: 'opening', word: t.brakes.either }];
  return [
    { direction: 'opening', word: t.brakes.opening },
    { direction: 'closing', word: t.brakes.closing },
  ];
}

function BrakePlot({ data, direction, word }: DirectionProps & { word: string }) {
  return (
    <Plot
      id={`brake-${direction}`}
      label={`${t.brakes.title}: ${word}`}
      describedBy="brake-description"
      size="m"
      x={ticksOf(data.own.released)}
      y={percentTicks.filter((_, index) => index % 2 === 0)}
      xWord={t.trigger}
      yWord={t.brake}
      lines={<BrakeLines data={data} direction={direction} />}
    >
      <ReleaseBars data={data} direction={direction} />
    </Plot>
  );
}

interface DirectionProps {
  data: PicturesData;
  direction: Direction;
}

/** What the motor is braked with over the trigger, on the square of a plot. */
export function BrakeLines({ data: { own, other }, direction }: DirectionProps) {
  return (
    <>
      <path class="plot-released" d={`M0 0H${letGo * 1000}V1000H0z`} />
      {other && differ(own, other, direction) ? (
        <PlotLine tone="other" d={overTrigger(other, own.released, direction)} />
      ) : null}
      <PlotLine tone="own" d={overTrigger(own, own.released, direction)} />
    </>
  );
}

/** The release brake of one profile, or of two that brake differently. */
export function ReleaseBars({ data: { own, other }, direction }: DirectionProps) {
  const two = other !== null && differ(own, other, direction);
  return (
    <>
      {two ? <ReleaseBar tone="other" picture={other} /> : null}
      <ReleaseBar tone="own" picture={own} alone={!two} />
    </>
  );
}

const differ = (own: ProfilePicture, other: ProfilePicture, direction: Direction) =>
  !same(own[direction], other[direction]);

/** The trigger let go has its own place; the travel is marked at its middle and its end. */
function ticksOf(released: number): Tick[] {
  const travel = percentTicks
    .filter(({ at }) => at === 0.5 || at === 1)
    .map(({ at, label }) => ({ at: place(at, released), label }));
  return [{ at: letGo / 2, label: t.released }, ...travel];
}

/** The brake at part trigger, as steps. */
function overTrigger(picture: ProfilePicture, released: number, direction: Direction): string {
  const runs = picture[direction].filter(({ to }) => to > picture.released);
  const points = runs.flatMap(({ from, to, share }) => [
    [place(from, released), share] as const,
    [place(to, released), share] as const,
  ]);
  return points
    .map(([x, share], index) => `${index === 0 ? 'M' : 'L'}${Math.round(x * 1000)} ${Math.round((1 - share) * 1000)}`)
    .join('');
}

const releaseShare = (picture: ProfilePicture) => picture.opening[0]?.share ?? 0;

/** The release brake as a bar with its figure; two stand side by side. */
function ReleaseBar({ tone, picture, alone = false }: { tone: PlotTone; picture: ProfilePicture; alone?: boolean }) {
  const share = releaseShare(picture);
  const inside = share > 0.8;
  const width = alone ? letGo * 0.5 : letGo * 0.42;
  const left = alone ? letGo * 0.25 : tone === 'own' ? letGo * 0.06 : letGo * 0.52;
  return (
    <>
      <rect
        class={`plot-bar plot-${tone}`}
        x={across(left)}
        y={`${100 - share * 100}%`}
        width={`${width * 100}%`}
        height={`${share * 100}%`}
      />
      <text
        class={`plot-figure ${inside ? `plot-inside plot-${tone}` : 'plot-value'}`}
        x={across(left + width / 2)}
        y={`${100 - share * 100}%`}
        dy={inside ? '1.3em' : '-0.4em'}
        text-anchor="middle"
      >
        {percentOf(share)}
      </text>
    </>
  );
}

interface BrakeRow extends BrakeRun {
  tone: PlotTone;
  direction: Direction;
  word: string;
}

export function BrakeTable({ data, names }: BrakeProps) {
  const rows = (['own', 'other'] as const).flatMap((tone) => {
    const picture = data[tone];
    if (picture === null) return [];
    return directionsOf(data).flatMap(({ direction, word }) =>
      picture[direction].map((run): BrakeRow => ({ ...run, tone, direction, word })),
    );
  });
  return (
    <DataTable
      caption={t.brakes.table}
      captionHidden
      dense
      rows={rows}
      rowKey={(row) => `${row.tone}-${row.direction}-${row.from}`}
      columns={[
        ...(data.other
          ? [{ key: 'whose', head: t.brakes.columns.whose, rowHead: true, cell: (row: BrakeRow) => names[row.tone] }]
          : []),
        { key: 'direction', head: t.brakes.columns.direction, cell: (row) => row.word },
        {
          key: 'stretch',
          head: t.brakes.columns.stretch,
          numeric: true,
          cell: (row) => t.brakes.stretch(percentOf(row.from), percentOf(row.to)),
        },
        { key: 'share', head: t.brakes.title, numeric: true, cell: (row) => t.percent(percentOf(row.share)) },
      ]}
    />
  );
}
