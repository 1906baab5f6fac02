import { z } from 'zod';
import { importing as sentences } from '../../views/texts/en/import.ts';

/** What is sent to open a meeting log: one file, and the token that every form carries. */
export const importSchema = z.object({
  log: z.instanceof(Uint8Array, { error: sentences.noFile }).refine((log) => log.length > 0, sentences.noFile),
});
