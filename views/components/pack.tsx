import { common } from '../texts/en/common.ts';
import { type ClockReading, clockData, clockDigits } from './clock-bar.tsx';
import { hatch } from './hatch.ts';
import type { LaneLook } from './lane-defaults.ts';
import { LaneMark, LaneMarker, LanePatternPath } from './lane-mark.tsx';

export interface PackRow {
  /** Stable id of the lane's place in this heat. */
  key: string;
  lane: LaneLook;
  /** Nickname; cut with an ellipsis after twelve characters, whole for screen readers. */
  name: string;
  /** Place in the heat so far: "1st"; null before the first crossing. */
  place: string | null;
  /** Gap to the leader in laps of the leader's pace, 0 for the leader; null when it is not known yet. */
  gapLaps: number | null;
  /** The same in words or seconds: "+1.2"; null for the leader. */
  gap: string | null;
  /** Lap count, shown large at the ribbon's end. */
  laps: string;
  /** Last lap: "5.12". */
  last: string | null;
  /** Its difference to the driver's own pace: "−0.08". */
  delta: string | null;
  /** Place in the race, which in a rotation is not the place in the heat: "3rd". */
  inRace: string | null;
  /** Handicap start: this lane's own countdown. */
  startsIn?: ClockReading | undefined;
  /** A word instead of times: "finished", "excluded". */
  word?: string | null | undefined;
}

interface PackProps {
  /** In the order of the race so far: the order of rows is the order of places. */
  rows: readonly PackRow[];
  caption: string;
  id?: string | undefined;
}

/** Room on the ribbon for gaps: at least a lap, so that the first tenths do not throw the markers about. */
const leastSpanLaps = 1;

/**
 * Where a marker stands: 100 at the leader, 0 at the end of the field's room, which is the next full lap behind.
 *
 * @param gapLaps laps behind the leader, or null
 * @param spanLaps laps that the whole ribbon stands for
 */
export function ribbonPercent(gapLaps: number | null, spanLaps: number): number {
  if (gapLaps === null) return 0;
  const share = 1 - Math.max(0, gapLaps) / spanLaps;
  return Math.round(Math.max(0, Math.min(1, share)) * 10_000) / 100;
}

/** The laps that a whole ribbon stands for, a whole number: it changes seldom, so that nothing jumps. */
export function ribbonSpan(rows: readonly Pick<PackRow, 'gapLaps'>[]): number {
  return Math.max(leastSpanLaps, ...rows.map(({ gapLaps }) => Math.ceil(gapLaps ?? 0)));
}

/** The race as a picture: a ribbon for every lane, the leader's marker at its end and the others where they are. */
export function Pack({ rows, caption, id = 'pack' }: PackProps) {
  const texts = common.pack;
  const span = ribbonSpan(rows);
  const room = rows.length <= 3 ? 'wide' : rows.length <= 4 ? 'some' : 'tight';
  return (
    <table class={`pack pack-${room}`} id={id} data-rows={rows.length}>
      <caption class="visually-hidden">{caption}</caption>
      <thead class="visually-hidden">
        <tr>
          <th scope="col">{texts.place}</th>
          <th scope="col">{texts.lane}</th>
          <th scope="col">{texts.driver}</th>
          <th scope="col">{texts.lastLap}</th>
          <th scope="col">{texts.delta}</th>
          <th scope="col">{texts.inRace}</th>
          <th scope="col">{texts.gap}</th>
          <th scope="col">{texts.laps}</th>
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <PackLine key={row.key} id={`${id}-${row.key}`} row={row} span={span} />
        ))}
      </tbody>
    </table>
  );
}

function PackLine({ row, span, id }: { row: PackRow; span: number; id: string }) {
  const { lane, startsIn, word } = row;
  const own = startsIn ? (
    <td class="pack-starts" colspan={2}>
      <span>{common.pack.startsIn}</span>{' '}
      <span class="figure" data-clock={clockData(startsIn)}>
        <span data-clock-digits>{clockDigits(startsIn)}</span>
      </span>
    </td>
  ) : word ? (
    <td class="pack-word" colspan={2}>
      {word}
    </td>
  ) : (
    <>
      <td class="pack-last">{row.last}</td>
      <td class="pack-delta">{row.delta}</td>
    </>
  );
  return (
    <tr class="pack-line" id={id} data-lane={lane.number}>
      <td class="pack-place">{row.place}</td>
      <td class="pack-lane">
        <LaneMark lane={lane} size="wall" />
      </td>
      <th class="pack-name" scope="row">
        <bdi class="pack-name-text">{row.name}</bdi>
        <Ribbon lane={lane} percent={ribbonPercent(row.gapLaps, span)} />
      </th>
      {own}
      <td class="pack-race">
        {row.inRace ? <span class="pack-race-word">{common.pack.race} </span> : null}
        {row.inRace}
      </td>
      <td class="pack-gap">{row.gap}</td>
      <td class="pack-laps">{row.laps}</td>
    </tr>
  );
}

/**
 * One lane's ribbon: the way covered in the lane's colour, the lane's pattern and mark at its head. The head is a
 * `foreignObject` because style sheets can move one; a nested drawing would jump.
 */
function Ribbon({ lane, percent }: { lane: LaneLook; percent: number }) {
  const at = `${percent}%`;
  const tail = hatch(lane.pattern, { x: -52, y: -6, width: 40, height: 12 }, lane.pattern === 'checker' ? 4 : 4.6);
  return (
    <svg class="ribbon" aria-hidden="true" focusable="false">
      <rect class="ribbon-track" width="100%" height="100%" />
      <rect class="ribbon-done" width={at} height="100%" fill={lane.colour} />
      <foreignObject class="ribbon-head" x={at} width="1em" height="1em">
        <svg viewBox="-11 -11 22 22" aria-hidden="true">
          <LanePatternPath lane={lane} pattern={tail} strokeWidth={2} />
          <LaneMarker lane={lane} />
        </svg>
      </foreignObject>
    </svg>
  );
}
