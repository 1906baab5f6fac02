import { pace as words } from '../../views/texts/en/pace-command.ts';
import type { PaceFit } from '../pace/pace-fit.ts';
import { printable, table } from './count-text.ts';
import type { FieldAnswer, PaceAnswer, PaceRow } from './pace-answer.ts';
import type { AskedField } from './pace-fields.ts';

/** The answer as tables for a terminal of 80 columns. */
export function paceText(
  answer: PaceAnswer,
  fit: PaceFit,
  fields: readonly { readonly field: AskedField; readonly carClass: string }[],
): string {
  const parts = [
    answer.pace.length > 0 ? [words.pace, ...paceTable(answer.pace)] : [words.noPace],
    fit.lanes.length > 0 ? [words.lanes, ...laneTable(fit)] : [],
    ...fields.map(({ field, carClass }, i) => fieldTable(field, carClass, answer.fields[i] as FieldAnswer)),
  ];
  const filled = parts.filter((lines) => lines.length > 0);
  return `${filled.map((lines) => lines.join('\n')).join('\n\n')}\n`;
}

const width = 80;
const widestName = 40;
const widestClass = 8;
const widestTitle = 24;

const lengthOf = (text: string) => [...text].length;

/** A name within its column. */
function cell(name: string, widest: number): string {
  const letters = [...printable(name)];
  return letters.length > widest ? `${letters.slice(0, widest - 1).join('')}…` : letters.join('');
}

/** A table of names and figures; names are cut where it would be too wide. */
function named(head: readonly string[], rows: readonly (readonly string[])[], left: readonly number[]): string[] {
  const cut = (widest: number) =>
    table([head, ...rows.map(([name = '', ...rest]) => [cell(name, widest), ...rest])], left);
  const lines = cut(widestName);
  const over = Math.max(...lines.map(lengthOf)) - width;
  if (over <= 0) return lines;
  const longest = Math.min(widestName, Math.max(...rows.map(([name = '']) => lengthOf(name))));
  return cut(longest - over);
}

/** Classes one after the other, the quickest first. */
function paceTable(rows: readonly PaceRow[]): string[] {
  const classes = [...new Set(rows.map((row) => row.class))].sort();
  const lines = classes.flatMap((carClass) => {
    const field = rows.filter((row) => row.class === carClass).sort((a, b) => a.logPace - b.logPace);
    const mean = field.reduce((sum, { logPace }) => sum + logPace, 0) / field.length;
    return field.map(({ driver, logPace, lo, hi, crashRate, meanLoss }) => [
      driver,
      cell(carClass, widestClass),
      seconds(logPace),
      words.limits(seconds(lo), seconds(hi)),
      percent(logPace - mean),
      (100 * crashRate).toFixed(1),
      meanLoss.toFixed(1),
    ]);
  });
  return named(words.paceColumns, lines, [0, 1]);
}

function laneTable({ lanes }: PaceFit): string[] {
  const lines = lanes.map(({ track, lane, logEffect, sd }) => [
    track,
    String(lane),
    percent(logEffect),
    words.limits(percent(logEffect - z90 * sd), percent(logEffect + z90 * sd)),
  ]);
  return named(words.laneColumns, lines, [0]);
}

function fieldTable(field: AskedField, carClass: string, answer: FieldAnswer): string[] {
  const { length, drivers, lanes } = field;
  const long = length.kind === 'time' ? words.time(String(length.durationMs / 1000)) : words.laps(length.laps);
  const lines = drivers.map((driver, i) => [
    driver,
    lanes[i] == null ? words.noLane : String(lanes[i]),
    (answer.delays[i] as number).toFixed(1),
    share(answer.winBefore[i] as number),
    share(answer.winAfter[i] as number),
  ]);
  const title = words.field(cell(String(field.name), widestTitle), long, cell(carClass, widestTitle));
  return [title, ...named(words.fieldColumns, lines, [0])];
}

const z90 = 1.645;

const seconds = (logPace: number) => Math.exp(logPace).toFixed(2);
const share = (chance: number) => words.percent((100 * chance).toFixed(1));

/** A log as percent, with its sign. */
function percent(log: number): string {
  const value = (100 * Math.expm1(log)).toFixed(1);
  const signed = value.startsWith('-') ? value : `+${value}`;
  return words.percent(signed === '-0.0' ? '+0.0' : signed);
}
