import { parseArgs } from 'node:util';
import { archiveTexts } from '../../views/texts/en/archive.ts';
import { count as words } from '../../views/texts/en/count.ts';
import { readLog } from '../archive/log-read.ts';
import { countMeeting } from '../results/count.ts';
import { detailJson } from '../results/detail-json.ts';
import type { MeetingFacts } from '../results/meeting-facts.ts';
import { resultsJson } from '../results/results-json.ts';
import { countText, printable } from './count-text.ts';
import { readInput } from './input.ts';
import { Refusal } from './refusal.ts';
import type { Command } from './run.ts';

/**
 * `lanewise count FILE`: the results of every race of a meeting log, as tables, or as JSON with `--json` or `--detail`.
 * A log that is refused prints nothing but the sentence why, on standard error.
 */
export const command: Command = async (args) => {
  try {
    const { file, form } = readArguments(args);
    process.stdout.write(form === 'help' ? words.usage : output(form, readMeeting(await readInput(file))));
    return 0;
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    process.stderr.write(`${error.message}\n`);
    return error.code;
  }
};

type Form = 'help' | 'text' | 'results' | 'detail';

function readArguments(args: string[]): { file: string; form: Form } {
  const options = {
    json: { type: 'boolean' },
    detail: { type: 'boolean' },
    help: { type: 'boolean', short: 'h' },
  } as const;
  let parsed: ReturnType<typeof parseArgs<{ options: typeof options; allowPositionals: true }>>;
  try {
    parsed = parseArgs({ args, options, allowPositionals: true });
  } catch (error) {
    throw new Refusal(2, words.wrongUse((error as Error).message));
  }
  const { json, detail, help } = parsed.values;
  const [file = '', ...others] = parsed.positionals;
  if (help) return { file, form: 'help' };
  if (file === '' || others.length > 0) throw new Refusal(2, words.wrongUse(words.oneFile));
  // Every heat in detail is for programs: there is no table of it.
  return { file, form: detail ? 'detail' : json ? 'results' : 'text' };
}

function readMeeting(bytes: Uint8Array): MeetingFacts {
  const { facts, refusal } = readLog(bytes);
  if (refusal) throw new Refusal(1, printable(archiveTexts.refused(refusal.line, refusal.code, refusal.what)));
  return facts;
}

function output(form: Exclude<Form, 'help'>, facts: MeetingFacts): string {
  const counted = countMeeting(facts);
  switch (form) {
    case 'text':
      return countText(facts.races, counted.races);
    case 'results':
      return resultsJson(counted.races);
    case 'detail':
      return detailJson(counted);
  }
}
