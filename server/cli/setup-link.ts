import { start as t } from '../../views/texts/en/start.ts';
import { freshSetupPath } from '../clubs/actions.ts';
import { openFromEnvironment, StartError } from '../main.ts';
import { readFlags } from './flags.ts';
import type { Command } from './run.ts';

/** `lanewise setup-link [--json]`: a new one-time link, for a director who has lost theirs. */
export const command: Command = async (args) => {
  const flags = readFlags(args, t.usage.setupLink, (reason) => t.wrongUse(reason, 'setup-link'));
  if ('code' in flags) return flags.code;
  try {
    const { config, db, close } = await openFromEnvironment(true);
    try {
      const link = `${config.publicUrl ?? `http://localhost:${config.port}`}${await freshSetupPath(db)}`;
      process.stdout.write(flags.json ? `${JSON.stringify({ link })}\n` : `${t.setupLink}\n\n  ${link}\n`);
      return 0;
    } finally {
      await close();
    }
  } catch (error) {
    if (!(error instanceof StartError)) throw error;
    process.stderr.write(`${error.message}\n`);
    return 1;
  }
};
