import { z } from 'zod';
import { paceImport as t } from '../../views/texts/en/pace.ts';
import { nameField } from '../shared/fields.ts';

const bytes = z.instanceof(Uint8Array, { error: t.noFile });

/** An import as it was sent: an empty file is one that nobody chose. */
export const importSchema = z.object({
  name: nameField(80),
  laps: bytes.refine((file) => file.length > 0, { error: t.noFile }),
  drivers: bytes.optional().transform((file) => (file === undefined || file.length === 0 ? null : file)),
});
