import { draw as words } from '../../views/texts/en/draw.ts';
import type { DrawRequest, Rotation, Seat } from '../rotation/rotation.ts';
import { steppingLanes } from '../rotation/rotation.ts';

const width = 80;

/** A rotation for a terminal of 80 columns: table of heats by lanes, then fairness in two sentences. */
export function drawText(request: DrawRequest, rotation: Rotation): string {
  const { certificate } = rotation;
  const lanes = steppingLanes(request);
  const single = request.drivers.length === 1;
  const parts = [
    ...table(request, rotation),
    '',
    ...wrap(words.moves(lanes, request.drivers.length > lanes.length).split(' ')),
    ...wrap(
      words
        .fairness({
          runsPerLane: request.runsPerLane,
          heats: rotation.heats.length,
          longestSitOut: certificate.sitOut.longest,
          duty: certificate.duty.max > 0 ? certificate.duty : null,
          meetings: single ? null : certificate.opponents,
          backToBack: certificate.backToBack.count,
        })
        .split(' '),
    ),
    ...(certificate.duty.shortage > 0 ? wrap(words.shortage(certificate.duty.shortage).split(' ')) : []),
  ];
  return `${parts.join('\n')}\n`;
}

/** Names where the table then fits, else numbers with a list of names; marshals move below a table still too wide. */
function table(request: DrawRequest, rotation: Rotation): string[] {
  const withMarshals = request.marshals > 0;
  const named = grid(request, rotation, String, words.laneColumn, withMarshals, '  ');
  if (fits(named)) return named;

  const numberOf = new Map(request.drivers.map((driver, i) => [driver, String(i + 1)]));
  const short = (seat: NonNullable<Seat>) => numberOf.get(seat) ?? String(seat);
  const numbered = grid(request, rotation, short, words.shortLaneColumn, withMarshals, ' ');
  const legend =
    typeof request.drivers[0] === 'string'
      ? ['', ...wrap([words.numbersMean, ...request.drivers.map((driver, i) => `${i + 1} ${driver}`)], '  ')]
      : [];
  if (fits(numbered)) return [...numbered, ...legend];
  const duties = rotation.marshals.flatMap((row, h) =>
    row.length > 0 ? wrap([words.marshalsOf(h + 1), ...row.map(short)]) : [],
  );
  return [...grid(request, rotation, short, words.shortLaneColumn, false, ' '), '', ...duties, ...legend];
}

const fits = (lines: string[]) => lines.every((line) => line.length <= width);

function grid(
  request: DrawRequest,
  rotation: Rotation,
  label: (seat: NonNullable<Seat>) => string,
  heading: (lane: number) => string,
  withMarshals: boolean,
  gap: string,
): string[] {
  const lanes = steppingLanes(request).sort((a, b) => a - b);
  const head = [words.heatColumn, ...lanes.map(heading)];
  const rows = rotation.heats.map((seats, h) => [
    String(h + 1),
    ...lanes.map((lane) => {
      const seat = seats[lane - 1];
      return seat == null ? words.emptySeat : label(seat);
    }),
  ]);
  const widths = head.map((title, c) => Math.max(title.length, ...rows.map((row) => row[c]?.length ?? 0)));
  const line = (cells: string[]) => cells.map((cell, c) => cell.padEnd(widths[c] ?? 0)).join(gap);
  const separator = withMarshals ? '  ' : '';
  const marshals = (h: number) => (withMarshals ? (rotation.marshals[h] ?? []).map(label).join(', ') : '');
  return [
    line(head) + separator + (withMarshals ? words.marshalsColumn : ''),
    ...rows.map((row, h) => line(row) + separator + marshals(h)),
  ].map((text) => text.trimEnd());
}

/** Joins words into lines of at most 80 columns. */
function wrap(parts: readonly string[], gap = ' '): string[] {
  const lines: string[] = [];
  for (const part of parts) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + gap.length + part.length <= width)
      lines[lines.length - 1] = last + gap + part;
    else lines.push(part);
  }
  return lines;
}
