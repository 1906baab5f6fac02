import { parseArgs } from 'node:util';

/**
 * Reads the words after a command that takes nothing but `--json` and `--help`. Help and wrong use are answered here.
 *
 * @param usage what `--help` prints
 * @param wrongUse the sentence for a word the command does not know
 * @returns whether `--json` was given, or the exit code when there is nothing left to do
 */
export function readFlags(
  args: string[],
  usage: string,
  wrongUse: (reason: string) => string,
): { json: boolean } | { code: 0 | 2 } {
  try {
    const options = { json: { type: 'boolean' }, help: { type: 'boolean', short: 'h' } } as const;
    const { json = false, help = false } = parseArgs({ args, options }).values;
    if (!help) return { json };
    process.stdout.write(usage);
    return { code: 0 };
  } catch (error) {
    process.stderr.write(`${wrongUse((error as Error).message)}\n`);
    return { code: 2 };
  }
}
