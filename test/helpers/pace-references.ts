import { readFileSync } from 'node:fs';

const folder = new URL('../reference/data/pace/', import.meta.url);

/** A file of test/reference/data/pace; its SOURCES.md says where each comes from. */
export const paceFile = (name: string) => readFileSync(new URL(name, folder), 'utf8');

export const references = JSON.parse(paceFile('references.json'));

/** Columns of a CSV file without quotes, by name. */
export function csvColumns(name: string): Record<string, string[]> {
  const [head = '', ...lines] = paceFile(name).trim().split(/\r?\n/);
  const rows = lines.map((line) => line.split(','));
  return Object.fromEntries(head.split(',').map((column, i) => [column, rows.map((row) => row[i] ?? '')]));
}
