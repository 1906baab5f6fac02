import { readFile } from 'node:fs/promises';
import { buffer } from 'node:stream/consumers';
import { type ParseArgsConfig, parseArgs } from 'node:util';
import { input as words } from '../../views/texts/en/input.ts';
import { Refusal } from './refusal.ts';
import type { Command } from './run.ts';

/** Reads a file, or standard input where `-` is named. @throws Refusal with exit code 1 */
export async function readInput(file: string): Promise<Uint8Array> {
  try {
    return await (file === '-' ? buffer(process.stdin) : readFile(file));
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    throw new Refusal(1, code === 'ENOENT' ? words.noFile(sourceOf(file)) : words.cannotRead(sourceOf(file), message));
  }
}

/** How sentences name a file. */
export const sourceOf = (file: string): string => (file === '-' ? words.standardInput : file);

/** Reads a file as JSON. @throws Refusal with exit code 1 */
export async function readJsonInput(file: string): Promise<unknown> {
  const text = new TextDecoder().decode(await readInput(file));
  try {
    return JSON.parse(text);
  } catch (error) {
    throw new Refusal(1, words.notJson(sourceOf(file), (error as SyntaxError).message));
  }
}

/** The options of a command: a word or a switch each. `--json` and `--help` are known everywhere. */
type Options = Record<string, { readonly type: 'string' | 'boolean' }>;
type Values<O extends Options> = { [K in keyof O]?: O[K]['type'] extends 'boolean' ? boolean : string } & {
  json?: boolean;
};

/**
 * A command whose refusals become one sentence on standard error and an exit code, and which knows `--help`.
 *
 * @param texts.usage what `--help` prints
 * @param texts.wrongUse the sentence for words that it does not know
 * @param answer what goes to standard output
 */
export function commandOf<const O extends Options>(
  texts: { readonly usage: string; readonly wrongUse: (reason: string) => string },
  options: O,
  answer: (words: readonly string[], values: Values<O>) => Promise<string>,
): Command {
  return async (args) => {
    try {
      const { positionals, values } = parsed(args, options, texts.wrongUse);
      process.stdout.write(values.help === true ? texts.usage : await answer(positionals, values as Values<O>));
      return 0;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      process.stderr.write(`${error.message}\n`);
      return error.code;
    }
  };
}

function parsed(args: string[], options: Options, wrongUse: (reason: string) => string) {
  const all: NonNullable<ParseArgsConfig['options']> = {
    ...options,
    json: { type: 'boolean' },
    help: { type: 'boolean', short: 'h' },
  };
  try {
    return parseArgs({ args, options: all, allowPositionals: true });
  } catch (error) {
    // The parser says what is wrong in its first sentence.
    throw new Refusal(2, wrongUse((error as Error).message.split(/[.\n]/)[0] as string));
  }
}
