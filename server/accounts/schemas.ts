import { z } from 'zod';
import { choiceField } from '../shared/fields.ts';

/** Whom a director may invite. */
export const inviteSchema = z.object({ role: choiceField(['timekeeper', 'director']) });

/** A session to end, named by the hash of its cookie. */
export const endSessionSchema = z.object({ session: z.string().regex(/^[A-Za-z0-9_-]{43}$/) });
