import { start as t } from '../../views/texts/en/start.ts';
import { migrateFromEnvironment, StartError } from '../main.ts';
import { readFlags } from './flags.ts';
import type { Command } from './run.ts';

/** `lanewise migrate [--json]`: brings the database's schema up to date, whatever `MIGRATE` says. */
export const command: Command = async (args) => {
  const flags = readFlags(args, t.usage.migrate, (reason) => t.wrongUse(reason, 'migrate'));
  if ('code' in flags) return flags.code;
  try {
    const applied = await migrateFromEnvironment();
    process.stdout.write(`${flags.json ? JSON.stringify({ applied }) : t.migrated}\n`);
    return 0;
  } catch (error) {
    if (!(error instanceof StartError)) throw error;
    process.stderr.write(`${error.message}\n`);
    return 1;
  }
};
