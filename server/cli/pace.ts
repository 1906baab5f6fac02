import { readFile } from 'node:fs/promises';
import { text } from 'node:stream/consumers';
import { parseArgs } from 'node:util';
import { pace as words } from '../../views/texts/en/pace-command.ts';
import { fitSeason } from '../pace/fit.ts';
import type { DriverRow, LapRow } from '../pace/lap-row.ts';
import type { PaceFit } from '../pace/pace-fit.ts';
import { fieldAnswer, laneRows, type PaceAnswer, paceRows } from './pace-answer.ts';
import { type AskedField, readFields } from './pace-fields.ts';
import { driversFrom, lapsFrom } from './pace-tables.ts';
import { paceText } from './pace-text.ts';
import { Refusal } from './refusal.ts';
import type { Command } from './run.ts';

/**
 * `lanewise pace`: pace, crash rates and lanes from a table of laps, and delays and chances of fields to come, as tables
 * or, with `--json`, as one document (`PaceAnswer`). Whatever is left out or not known is said on standard error; a file
 * that cannot be used prints nothing but the sentence why.
 */
export const command: Command = async (args) => {
  try {
    const asked = readArguments(args);
    if (asked === 'help') {
      process.stdout.write(words.usage);
      return 0;
    }
    const { out, notes } = answered(asked.seed, asked.json, await readInput(asked));
    process.stderr.write(notes.map((note) => `${note}\n`).join(''));
    process.stdout.write(out);
    return 0;
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    process.stderr.write(`${error.message}\n`);
    return error.code;
  }
};

interface Asked {
  readonly laps: string;
  readonly drivers: string | null;
  readonly fields: string | null;
  readonly seed: number;
  readonly json: boolean;
}

const options = {
  laps: { type: 'string' },
  drivers: { type: 'string' },
  fields: { type: 'string' },
  seed: { type: 'string' },
  json: { type: 'boolean' },
  help: { type: 'boolean', short: 'h' },
} as const;

function readArguments(args: string[]): Asked | 'help' {
  let values: ReturnType<typeof parseArgs<{ options: typeof options }>>['values'];
  try {
    values = parseArgs({ args, options, allowPositionals: false }).values;
  } catch (error) {
    // The parser says what is wrong in its first sentence.
    throw new Refusal(2, words.wrongUse((error as Error).message.split(/[.\n]/)[0] as string));
  }
  const { laps, drivers = null, fields = null, seed = '1', json = false, help = false } = values;
  if (help) return 'help';
  if (laps === undefined || laps === '') throw new Refusal(2, words.wrongUse(words.noLaps));
  if ([laps, drivers, fields].filter((file) => file === standardInput).length > 1) {
    throw new Refusal(2, words.wrongUse(words.oneStandardInput));
  }
  if (!/^\d{1,10}$/.test(seed) || Number(seed) > mostSeed) throw new Refusal(2, words.wrongUse(words.seed));
  return { laps, drivers, fields, seed: Number(seed), json };
}

const standardInput = '-';
const mostSeed = 2 ** 32 - 1;

interface Input {
  readonly lapsSource: string;
  readonly laps: readonly LapRow[];
  /** Null: nobody named a table of drivers. */
  readonly drivers: readonly DriverRow[] | null;
  readonly fieldsSource: string;
  readonly fields: readonly AskedField[];
  readonly notes: readonly string[];
}

/** Reads all files before anything is worked out. */
async function readInput(asked: Asked): Promise<Input> {
  const laps = lapsFrom(await contentOf(asked.laps), nameOf(asked.laps));
  const drivers = asked.drivers === null ? null : driversFrom(await contentOf(asked.drivers), nameOf(asked.drivers));
  const fields =
    asked.fields === null ? { fields: [], notes: [] } : readFields(await contentOf(asked.fields), nameOf(asked.fields));
  return {
    lapsSource: nameOf(asked.laps),
    laps: laps.laps,
    drivers,
    fieldsSource: nameOf(asked.fields ?? ''),
    fields: fields.fields,
    notes: [...laps.notes, ...fields.notes],
  };
}

const nameOf = (file: string) => (file === standardInput ? words.standardInput : file);

async function contentOf(file: string): Promise<string> {
  try {
    return await (file === standardInput ? text(process.stdin) : readFile(file, 'utf8'));
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    const source = nameOf(file);
    throw new Refusal(1, code === 'ENOENT' ? words.noFile(source) : words.cannotRead(source, message));
  }
}

function answered(seed: number, json: boolean, input: Input): { out: string; notes: string[] } {
  const { laps, drivers } = input;
  const asked = input.fields.map((field, i) => ({ field, carClass: classOf(field, i + 1, input) }));
  const fit = fitted(laps, drivers ?? [], seed);
  const pace = paceRows(fit, laps);
  const fields = asked.map(({ field, carClass }) => fieldAnswer(fit, field, carClass, seed));
  const answer: PaceAnswer = { pace: pace.rows, lane: laneRows(fit), fields: fields.map((each) => each.answer) };
  const notes = [
    ...input.notes,
    ...(fit.classes.length === 0 ? [words.notes.noHistory(input.lapsSource)] : []),
    ...(drivers === null ? [] : groupless(fit, drivers)),
    ...pace.notes,
    ...fields.flatMap((each) => each.notes),
  ];
  return { out: json ? `${JSON.stringify(answer)}\n` : paceText(answer, fit, asked), notes };
}

/** The class of a field that names none. */
function classOf(field: AskedField, number: number, { laps, fieldsSource }: Input): string {
  if (field.carClass !== null) return field.carClass;
  const classes = [...new Set(laps.map(({ carClass }) => carClass))];
  if (classes.length > 1) throw new Refusal(1, words.whichClass(fieldsSource, number, classes.sort()));
  return classes[0] ?? '';
}

/** Drivers of the laps whom the table of drivers does not name. */
function groupless(fit: PaceFit, drivers: readonly DriverRow[]): string[] {
  const named = new Set(drivers.map(({ driver }) => driver));
  const missing = fit.drivers.filter(({ driver }) => !named.has(driver)).map(({ driver }) => driver);
  return missing.length > 0 ? [words.notes.noGroups(missing)] : [];
}

/** Fits the laps; in a terminal it says how far it is. */
function fitted(laps: readonly LapRow[], drivers: readonly DriverRow[], seed: number): PaceFit {
  const shows = process.stderr.isTTY;
  const steps = fitSeason(laps, drivers, { seed });
  for (let percent = -1; ; ) {
    const step = steps.next();
    if (step.done) {
      if (shows) process.stderr.write('\r\x1b[K');
      return step.value;
    }
    const now = Math.floor((100 * step.value.done) / step.value.of);
    if (shows && now > percent) process.stderr.write(`\r${words.progress(now)}`);
    percent = Math.max(percent, now);
  }
}
