import { start as t } from '../../views/texts/en/start.ts';
import { StartError, serve } from '../main.ts';
import { readFlags } from './flags.ts';
import type { Command } from './run.ts';

/** `lanewise start [--json]`: the server. */
export const command: Command = async (args) => {
  const flags = readFlags(args, t.usage.start, (reason) => t.wrongUse(reason, 'start'));
  if ('code' in flags) return flags.code;
  try {
    return await serve(flags.json);
  } catch (error) {
    if (!(error instanceof StartError)) throw error;
    process.stderr.write(`${error.message}\n`);
    return 1;
  }
};
