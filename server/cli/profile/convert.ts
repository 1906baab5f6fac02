import { Refusal } from '../refusal.ts';
import type { Command } from '../run.ts';

export const command: Command = async () => {
  throw new Refusal(1, 'not there yet');
};
