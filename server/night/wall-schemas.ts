import { z } from 'zod';

/** Diagonal of the screen in inches and distance of the last row in metres; what makes no sense is taken as unsaid. */
export const screenQuery = z.object({
  in: z.coerce.number().min(5).max(300).catch(43),
  m: z.coerce.number().min(0.5).max(50).catch(5),
  theme: z.enum(['hall', 'paper']).catch('hall'),
});

/** What the style sheet must know besides: lanes of the track. */
export const sizeQuery = screenQuery.extend({ lanes: z.coerce.number().int().min(1).max(64).catch(4) });

export type Screen = z.output<typeof screenQuery>;
