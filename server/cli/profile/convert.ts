import { convert } from '../../../views/texts/en/convert.ts';
import { type Conversion, convertProfile } from '../../profiles/convert/convert.ts';
import type { ReportRow } from '../../profiles/convert/report.ts';
import type { UnitSheet } from '../../profiles/convert/sheet.ts';
import { readSheet } from '../../profiles/convert/sheet-schema.ts';
import type { Profile } from '../../profiles/model/profile.ts';
import { commandOf, readJsonInput, sourceOf } from '../input.ts';
import { Refusal } from '../refusal.ts';
import { readProfileFile } from './profile-file.ts';

const words = convert.command;

/** `lanewise profile convert FILE --unit UNIT`: a profile within a unit's limits, and what became of every setting. */
export const command = commandOf(
  words,
  { unit: { type: 'string' }, all: { type: 'boolean' } },
  async ([file, ...more], { json, unit, all = false }) => {
    if (file === undefined || more.length > 0) throw new Refusal(2, words.wrongUse(words.oneFile));
    if (unit === undefined) throw new Refusal(2, words.wrongUse(words.noUnit));
    if (file === '-' && unit === '-') throw new Refusal(2, words.wrongUse(words.oneStandardInput));
    const profile = await readProfileFile(file);
    const conversion = convertProfile(profile, await readUnitFile(unit));
    return json ? `${JSON.stringify(conversion)}\n` : textOf(conversion, all);
  },
);

async function readUnitFile(file: string): Promise<UnitSheet> {
  const read = readSheet(await readJsonInput(file));
  if (!read.ok) throw new Refusal(1, words.wrongUnit(sourceOf(file), read.problem.sentence));
  return read.sheet;
}

function textOf({ profile, report, table }: Conversion<Profile>, all: boolean): string {
  const rows = report.filter(({ what }) => all || what !== 'exact').map(cellsOf);
  const widths = words.heads.map((head, i) => Math.max(head.length, ...rows.map((cells) => (cells[i] ?? '').length)));
  const lines = [profile.name, ''];
  if (rows.length === 0) lines.push(words.nothing);
  else lines.push(...[words.heads, ...rows].map((cells) => words.cells(cells, widths)));
  const notes = report.flatMap(notesOf);
  if (table) notes.push(words.table(table));
  if (notes.length > 0) lines.push('', ...notes);
  return `${lines.join('\n')}\n`;
}

function cellsOf({ field, what, from, to, size, severity }: ReportRow): string[] {
  const { row } = convert;
  const felt = words.felt(row.severity(severity), row.size(size));
  return [row.field(field), row.value(field, from), row.value(field, to), row.outcome(what), felt];
}

const notesOf = ({ curveError, brakeEffects = [], severity, from, to }: ReportRow): string[] => [
  ...(curveError ? [convert.curveError(curveError)] : []),
  ...brakeEffects.map(convert.brakeEffect),
  ...(severity === 'safety' ? [convert.safety(to as number, from as number)] : []),
];
