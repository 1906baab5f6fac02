import { certificate as fairness } from '../../views/texts/en/certificate.ts';
import { draw as words } from '../../views/texts/en/draw.ts';
import { racing } from '../rotation/groups.ts';
import type { DrawRequest, Driver, Rotation, Seat } from '../rotation/rotation.ts';
import { mostCars, steppingLanes } from '../rotation/rotation.ts';

const width = 80;

/** A rotation for a terminal of 80 columns: table of heats by lanes, how many heats, and its certificate in words. */
export function drawText(request: DrawRequest, rotation: Rotation): string {
  const { certificate, heats } = rotation;
  const paragraphs = [
    heats.length > 0 ? table(request, rotation) : [],
    (rotation.groups ?? []).flatMap((group, g) => list(words.group(g + 1), group, ', ')),
    [...moves(request, rotation), ...prose(heatCount(request, rotation)), ...runsLeft(request, rotation)],
    prose(fairness.headline(certificate)),
    fairness.sentences(certificate).flatMap(({ text }) => prose(text)),
    rotation.groups === undefined ? [] : prose(words.withinGroups),
    shortage(request, rotation),
  ];
  const filled = paragraphs.filter((lines) => lines.length > 0);
  return `${filled.map((lines) => lines.join('\n')).join('\n\n')}\n`;
}

const prose = (sentence: string) => wrap(sentence.split(' ').filter((word) => word !== ''));

function list(title: string, items: readonly (string | number)[], comma: string): string[] {
  return wrap([title, ...items.map((item, i) => `${item}${i < items.length - 1 ? comma.trimEnd() : ''}`)]);
}

/** How drivers step, where they do and nobody is told apart by a group. */
function moves(request: DrawRequest, rotation: Rotation): string[] {
  if (!rotation.engine.startsWith('step')) return [];
  const lanes = steppingLanes(request);
  return prose(words.moves(lanes, racing(request).length > lanes.length));
}

function heatCount(request: DrawRequest, { heats, fewestHeats }: Rotation): string {
  return request.done.length === 0
    ? words.heats(heats.length, request.heats !== null)
    : words.heatsLeft(request.done.length, heats.length, fewestHeats);
}

/** In a repair: how often everybody still races. */
function runsLeft(request: DrawRequest, { heats }: Rotation): string[] {
  if (request.done.length === 0 || heats.length === 0) return [];
  const runs = new Map<Driver, number>(racing(request).map((driver) => [driver, 0]));
  for (const seat of heats.flat()) if (seat !== null) runs.set(seat, (runs.get(seat) ?? 0) + 1);
  return list(
    words.runsLeft,
    [...runs].map(([driver, left]) => words.runsOf(driver, left)),
    ', ',
  );
}

function shortage(request: DrawRequest, { heats, marshals, groups }: Rotation): string[] {
  const missing = heats.map((_, h) => request.marshals - (marshals[h]?.length ?? 0));
  const short = missing.flatMap((n, h) => (n > 0 ? [{ heat: heatNumber(request, h), missing: n }] : []));
  if (short.length === 0) return [];
  const drivers = racing(request);
  const cars = drivers.filter((driver) => !request.exempt.includes(driver)).length - request.marshals;
  const advice =
    groups === undefined && cars >= 2 && cars < mostCars({ ...request, drivers }) ? words.fewerCars(cars) : '';
  return prose(`${fairness.emptyPosts(short, heats.length)} ${advice}`);
}

/** Heats are numbered through the night. */
const heatNumber = (request: DrawRequest, index: number) => request.done.length + index + 1;

/** Names where the table then fits, else numbers with a list of names; marshals move below a table still too wide. */
function table(request: DrawRequest, rotation: Rotation): string[] {
  const withMarshals = request.marshals > 0;
  const wide = grid(request, rotation, String, words.laneColumn, withMarshals, '  ');
  if (fits(wide)) return wide;

  const drivers = racing(request);
  const named = drivers.some((driver) => typeof driver === 'string');
  const numberOf = new Map(drivers.map((driver, i) => [driver, named ? String(i + 1) : String(driver)]));
  const short = (seat: NonNullable<Seat>) => numberOf.get(seat) ?? String(seat);
  const numbered = grid(request, rotation, short, words.shortLaneColumn, withMarshals, ' ');
  const legend = named
    ? ['', ...wrap([words.numbersMean, ...drivers.map((driver, i) => `${i + 1} ${driver}`)], '  ')]
    : [];
  if (fits(numbered)) return [...numbered, ...legend];
  const duties = rotation.marshals.flatMap((row, h) =>
    row.length > 0 ? wrap([words.marshalsOf(heatNumber(request, h)), ...row.map(short)]) : [],
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
    String(heatNumber(request, h)),
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
