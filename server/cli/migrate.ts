import { start as t } from '../../views/texts/en/start.ts';
import { migrateFromEnvironment, StartError } from '../main.ts';
import type { Command } from './run.ts';

/** `lanewise migrate`: brings the database's schema up to date, whatever `MIGRATE` says. */
export const command: Command = async () => {
  try {
    await migrateFromEnvironment();
    process.stdout.write(`${t.migrated}\n`);
    return 0;
  } catch (error) {
    if (!(error instanceof StartError)) throw error;
    process.stderr.write(`${error.message}\n`);
    return 1;
  }
};
