import { profileCommand as words } from '../../views/texts/en/profile-command.ts';
import type { Command } from './run.ts';

/** One module a word after `lanewise profile`. */
const commands: Record<string, () => Promise<{ command: Command }>> = {
  check: () => import('./profile/check.ts'),
  code: () => import('./profile/code.ts'),
  read: () => import('./profile/read.ts'),
  curve: () => import('./profile/curve.ts'),
  convert: () => import('./profile/convert.ts'),
  trace: () => import('./profile/trace.ts'),
  compare: () => import('./profile/compare.ts'),
  calibrate: () => import('./profile/calibrate.ts'),
  motor: () => import('./profile/motor.ts'),
};

/** `lanewise profile WORD …`: what is known of controller profiles, without server or database. */
export const command: Command = async (args) => {
  const [word, ...rest] = args;
  if (word === 'help' || word === '--help' || word === '-h') {
    process.stdout.write(words.usage);
    return 0;
  }
  const load = word !== undefined && Object.hasOwn(commands, word) ? commands[word] : undefined;
  if (!load) {
    process.stderr.write(word === undefined ? words.usage : words.unknown(word));
    return 2;
  }
  return (await load()).command(rest);
};
