import type { ComponentChildren } from 'preact';
import { common } from '../texts/en/common.ts';
import { rotation } from '../texts/en/rotation.ts';
import { rotationPictures } from '../texts/en/rotation-pictures.ts';
import { Badge } from './badge.tsx';
import { MarshalMark } from './duty-mark.tsx';
import type { LaneLook } from './lane-defaults.ts';
import { LaneMark } from './lane-mark.tsx';
import { type PathHalf, type PathPiece, pathPieces } from './path-pieces.ts';

const t = rotationPictures.grid;

export interface GridDriver {
  /** Tells drivers apart; two may have one name. */
  key: string;
  name: string;
  /** Where the name leads; null leads nowhere. */
  href: string | null;
}

export interface GridHeat {
  key: string;
  number: number;
  stage: 'planned' | 'armed' | 'run' | 'void';
  /** Number of the void heat that this one runs again. */
  rerunOf: number | null;
  /** One seat a lane, in the order of the lanes shown. */
  seats: readonly (GridDriver | null)[];
  marshals: readonly GridDriver[];
}

export interface GridBlock {
  /** Null where the race is one block. */
  title: string | null;
  heats: readonly GridHeat[];
}

interface RotationGridProps {
  id: string;
  caption: string;
  /** At most 16. */
  lanes: readonly LaneLook[];
  /** In the order in which they are run. */
  blocks: readonly GridBlock[];
  /** Key of the driver whose path is drawn; null draws none. */
  path: string | null;
}

/**
 * Heats down, lanes across. With a path, one driver's way through the lanes is a line over the grid: unbroken where the
 * next run follows at once, dashed where heats lie between. The table is the picture: whoever hears it misses only the
 * line. On narrow screens the path of many lanes stands alone, without the names of the others.
 */
export function RotationGrid({ id, caption, lanes, blocks, path }: RotationGridProps) {
  const heats = blocks.flatMap((block) => block.heats);
  const withMarshals = heats.some((heat) => heat.marshals.length > 0);
  const pieces = pathPieces(
    heats.map((heat) => {
      const lane = path === null ? -1 : heat.seats.findIndex((seat) => seat?.key === path);
      return lane < 0 ? null : lane;
    }),
  );
  const pieceOf = new Map(heats.map((heat, i) => [heat.key, pieces[i] ?? null]));
  const kind = [
    'table rotation-grid',
    `rotation-lanes-${lanes.length}`,
    withMarshals ? 'rotation-with-marshals' : '',
    path === null ? '' : 'rotation-path',
    lanes.length > 4 ? 'rotation-many' : '',
    heats.length > 20 ? 'rotation-tight' : heats.length > 13 ? 'rotation-close' : '',
  ];
  return (
    <div class="rotation-frame">
      <section class="table-scroll" tabindex={0} aria-label={common.table.scrollHint(caption)}>
        <table class={kind.filter(Boolean).join(' ')} id={id}>
          <caption class="visually-hidden">{caption}</caption>
          <colgroup>
            <col class="rotation-col-heat" />
            <col class="rotation-col-lane" span={lanes.length} />
            {withMarshals ? <col class="rotation-col-marshals" /> : null}
          </colgroup>
          <thead>
            <tr>
              <th scope="col">{t.heat}</th>
              {lanes.map((lane) => (
                <th key={lane.number} scope="col" class="rotation-lane">
                  <LaneMark lane={lane} size="s" />
                </th>
              ))}
              {withMarshals ? (
                <th scope="col" class="rotation-marshals">
                  <span class="rotation-duties">
                    <span class="rotation-marshals-word">{t.marshals}</span>
                    <MarshalMark label={t.marshals} />
                  </span>
                </th>
              ) : null}
            </tr>
          </thead>
          {blocks.map(({ title, heats }, b) => (
            <tbody key={b}>
              {title === null ? null : (
                <tr class="rotation-group">
                  <th scope="rowgroup" colspan={lanes.length + (withMarshals ? 2 : 1)}>
                    <span>{title}</span>
                  </th>
                </tr>
              )}
              {heats.map((heat) => (
                <tr key={heat.key} id={`${id}-${heat.key}`} class={`rotation-${heat.stage}`}>
                  <HeatHead heat={heat} />
                  {heat.seats.map((seat, lane) => (
                    <td key={lane} class={lane === 0 ? 'rotation-seat path-start' : 'rotation-seat'}>
                      {lane === 0 ? <PathLine piece={pieceOf.get(heat.key) ?? null} lanes={lanes.length} /> : null}
                      {seat === null ? (
                        <span class="seat-empty">{rotation.emptyLane}</span>
                      ) : (
                        <Name driver={seat} path={path} mark={<LaneNumber lane={lanes[lane]?.number ?? 0} />} />
                      )}
                    </td>
                  ))}
                  {withMarshals ? (
                    <td class="rotation-marshals">
                      <span class="rotation-duties">
                        {heat.marshals.map((driver) => (
                          <Name key={driver.key} driver={driver} path={path} mark={<MarshalMark />} />
                        ))}
                      </span>
                    </td>
                  ) : null}
                </tr>
              ))}
            </tbody>
          ))}
        </table>
      </section>
      {path === null ? null : <PathKey marshals={withMarshals} />}
    </div>
  );
}

function HeatHead({ heat: { number, stage, rerunOf } }: { heat: GridHeat }) {
  return (
    <th scope="row" class="row-head">
      <span class="figure">{number}</span>
      {stage === 'planned' ? null : (
        <>
          {' '}
          <Badge kind={stage === 'armed' ? 'strong' : 'plain'}>{rotation.stage[stage]}</Badge>
        </>
      )}
      {rerunOf === null ? null : <span class="heat-note"> {t.rerun(rerunOf)}</span>}
    </th>
  );
}

interface NameProps {
  driver: GridDriver;
  path: string | null;
  /** Before the name of the driver whose path it is. */
  mark?: ComponentChildren;
}

function Name({ driver, path, mark }: NameProps) {
  const mine = driver.key === path;
  const name = <bdi class="seat-name">{driver.name}</bdi>;
  if (mine) {
    return (
      <span class="seat seat-mine">
        {mark}
        {name}
      </span>
    );
  }
  const kind = path === null ? 'seat' : 'seat seat-other';
  return driver.href === null ? (
    <span class={kind}>{name}</span>
  ) : (
    <a class={kind} href={driver.href}>
      {name}
    </a>
  );
}

/** Stands in for the name where lanes are as narrow as a mark. */
function LaneNumber({ lane }: { lane: number }) {
  return (
    <span class="seat-lane" aria-hidden="true">
      {lane}
    </span>
  );
}

/** One row's part of the path, over all its lanes. */
function PathLine({ piece, lanes }: { piece: PathPiece | null; lanes: number }) {
  if (piece === null) return null;
  return (
    <svg
      class="path-line"
      viewBox={`0 0 ${lanes} 1`}
      width={`${lanes}00%`}
      height="100%"
      preserveAspectRatio="none"
      aria-hidden="true"
      focusable="false"
    >
      <Half half={piece.upper} fromY={0} />
      <Half half={piece.lower} fromY={0.5} />
    </svg>
  );
}

function Half({ half, fromY }: { half: PathHalf | null; fromY: number }) {
  if (half === null) return null;
  return (
    <path
      class={half.rests ? 'path-rests' : undefined}
      d={`M${digits(half.fromX)} ${fromY}L${digits(half.toX)} ${fromY + 0.5}`}
      vector-effect="non-scaling-stroke"
    />
  );
}

const digits = (x: number) => Math.round(x * 1000) / 1000;

/** What the lines and marks mean. */
function PathKey({ marshals }: { marshals: boolean }) {
  const line = (rests: boolean) => (
    <svg class="path-key-line" viewBox="0 0 40 20" aria-hidden="true" focusable="false">
      <path class={rests ? 'path-rests' : undefined} d="M2 10H38" />
    </svg>
  );
  return (
    <ul class="picture-key">
      <li>
        {line(false)}
        {t.keyOn}
      </li>
      <li>
        {line(true)}
        {t.keyRest}
      </li>
      {marshals ? (
        <li>
          <MarshalMark />
          {t.keyMarshal}
        </li>
      ) : null}
    </ul>
  );
}
