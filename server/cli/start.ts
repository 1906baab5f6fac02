import { StartError, serve } from '../main.ts';
import type { Command } from './run.ts';

/** `lanewise start`: the server. */
export const command: Command = async () => {
  try {
    return await serve();
  } catch (error) {
    if (!(error instanceof StartError)) throw error;
    process.stderr.write(`${error.message}\n`);
    return 1;
  }
};
