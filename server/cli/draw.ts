import { readFile } from 'node:fs/promises';
import { text } from 'node:stream/consumers';
import { type ParseArgsConfig, parseArgs } from 'node:util';
import { draw as words } from '../../views/texts/en/draw.ts';
import { drawing } from '../rotation/draw.ts';
import {
  type DrawKey,
  type DrawProblem,
  drawKeys,
  keyLike,
  parseDrawRequest,
  type ShapeProblem,
} from '../rotation/request.ts';
import type { DrawRequest, Rotation } from '../rotation/rotation.ts';
import { drawText } from './draw-text.ts';
import { Refusal } from './refusal.ts';
import type { Command } from './run.ts';

const optionOf = (key: DrawKey) => key.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);

const options: NonNullable<ParseArgsConfig['options']> = {
  ...Object.fromEntries(drawKeys.map((key) => [optionOf(key), { type: 'string' } as const])),
  in: { type: 'string' },
  json: { type: 'boolean' },
  help: { type: 'boolean', short: 'h' },
};

/** `lanewise draw`: a rotation from options or a JSON file, as a table or as one JSON document. */
export const command: Command = async (args) => {
  try {
    const values = readOptions(args);
    if (values.help) {
      process.stdout.write(words.usage);
      return 0;
    }
    const fromFile = typeof values.in === 'string' ? await readRequest(values.in) : {};
    const parsed = parseDrawRequest(withOptions(fromFile, values));
    if (!parsed.ok) throw new Refusal(2, sentenceOf(parsed.problem));
    const started = performance.now();
    const rotation = drawn(parsed.request);
    const answer = { ...rotation, ms: Math.round(performance.now() - started) };
    process.stdout.write(values.json ? `${JSON.stringify(answer)}\n` : drawText(parsed.request, rotation));
    return 0;
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    process.stderr.write(`${error.message}\n`);
    return error.code;
  }
};

/** Searches longer than this say how far they are. */
const quietMs = 2000;

function drawn(request: DrawRequest): Rotation {
  const shows = request.budgetMs > quietMs && process.stderr.isTTY;
  const steps = drawing(request);
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

type Values = Record<string, string | boolean | (string | boolean)[] | undefined>;

function readOptions(args: string[]): Values {
  try {
    return parseArgs({ args: negativeNumbers(args), options, allowPositionals: false }).values;
  } catch (error) {
    throw new Refusal(2, wrongOption(error as NodeJS.ErrnoException));
  }
}

/** What the parser has to say, in one sentence. */
function wrongOption({ code, message }: NodeJS.ErrnoException): string {
  const [, option] = /'--?([^' ]+)/.exec(message) ?? [];
  if (code === 'ERR_PARSE_ARGS_UNKNOWN_OPTION' && option !== undefined) {
    const like = keyLike(option);
    return words.unknownOption(option, like && optionOf(like));
  }
  if (/missing|ambiguous/.test(message) && option !== undefined) return words.noValue(option);
  return words.wrongUse(message.split(/[.\n]/)[0] as string);
}

/** Joins a number below 0 to its option, or the parser takes it for an option. */
function negativeNumbers(args: readonly string[]): string[] {
  const joined: string[] = [];
  for (const word of args) {
    const option = joined.at(-1);
    if (/^-\d/.test(word) && option?.startsWith('--') && !option.includes('=')) joined.push(`${joined.pop()}=${word}`);
    else joined.push(word);
  }
  return joined;
}

async function readRequest(file: string): Promise<unknown> {
  const source = file === '-' ? words.standardInput : file;
  const content = await (file === '-' ? text(process.stdin) : readFile(file, 'utf8')).catch(
    (error: NodeJS.ErrnoException) => {
      throw new Refusal(1, error.code === 'ENOENT' ? words.noFile(source) : words.cannotRead(source, error.message));
    },
  );
  try {
    return JSON.parse(content);
  } catch (error) {
    throw new Refusal(2, words.notJson(source, (error as SyntaxError).message));
  }
}

/** Puts the options over the file's keys; what is not an object is left for the request's own check to refuse. */
function withOptions(fromFile: unknown, values: Values): unknown {
  if (typeof fromFile !== 'object' || fromFile === null || Array.isArray(fromFile)) return fromFile;
  const given = drawKeys.flatMap((key) => {
    const value = values[optionOf(key)];
    return typeof value === 'string' ? [[key, readValue(key, value)] as const] : [];
  });
  return { ...fromFile, ...Object.fromEntries(given) };
}

const numberOr = (word: string) => (/^-?\d+$/.test(word) ? Number(word) : word);
const listOf = (value: string) => value.split(',').map((word) => word.trim());

/** A value as the file would hold it; one that cannot be read stays a text, which the request's check refuses. */
function readValue(key: DrawKey, value: string): unknown {
  if (value.startsWith('[')) return jsonOr(value);
  switch (key) {
    case 'drivers':
      // "-5" and "2.5" are mistyped numbers, not names.
      return /^[+-]?\d+(\.\d+)?$/.test(value) ? Number(value) : listOf(value);
    case 'exempt':
    case 'leave':
    case 'join':
      return listOf(value);
    case 'lanesOut':
    case 'laneOrder':
      return listOf(value).map(numberOr);
    default:
      return numberOr(value);
  }
}

function jsonOr(value: string): unknown {
  try {
    return JSON.parse(value);
  } catch {
    return value;
  }
}

function sentenceOf(problem: ShapeProblem | DrawProblem): string {
  switch (problem.code) {
    case 'not an object':
      return words.notAnObject;
    case 'unknown key':
      return words.unknownKey(problem.key, problem.like);
    case 'wrong value':
      return words.wrongValue(problem.key, problem.nearest);
    case 'missing':
      return words.missing(problem.key);
    default: {
      // The texts have one function a code, each taking what its problem holds.
      const say = words.problems[problem.code] as (problem: DrawProblem) => string;
      return say(problem);
    }
  }
}
