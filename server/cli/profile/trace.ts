import { z } from 'zod';
import { profileFigures as words } from '../../../views/texts/en/profile-figures.ts';
import { longestTraceMs, mostTracePoints, type TraceRow, traceRows } from '../../profiles/model/trace.ts';
import { commandOf, readJsonInput, sourceOf } from '../input.ts';
import { Refusal } from '../refusal.ts';
import { readProfileValue } from './profile-file.ts';

/** About eleven days: times may come from a clock that has run for a while. */
const latestMs = 1e9;
const point = z.tuple([z.number().min(0).max(latestMs), z.number().min(0).max(1)]);

const traceSchema = z.object({
  profile: z.unknown(),
  points: z
    .array(point)
    .min(2, { abort: true })
    .max(mostTracePoints)
    .refine((points) => points.every(([ms], i) => i === 0 || ms >= (points[i - 1] as [number, number])[0]))
    .refine((points) => (points.at(-1) as [number, number])[0] - (points[0] as [number, number])[0] <= longestTraceMs),
});

/** `lanewise profile trace FILE`: what the controller does along a trigger trace, a row a millisecond. */
export const command = commandOf(words, {}, async ([file, ...more], { json }) => {
  if (file === undefined || more.length > 0) throw new Refusal(2, words.wrongUse(words.oneFile));
  const content = await readJsonInput(file);
  const read = traceSchema.safeParse(content);
  if (!read.success) {
    const isPoints = read.error.issues[0]?.path[0] === 'points';
    throw new Refusal(
      1,
      isPoints ? words.wrongPoints(longestTraceMs / 1000, mostTracePoints) : words.wrongTrace(sourceOf(file)),
    );
  }
  const rows = traceRows(readProfileValue(read.data.profile), read.data.points);
  return json ? `${JSON.stringify(rows)}\n` : textOf(rows);
});

const textOf = (rows: readonly TraceRow[]) =>
  [words.traceHead, ...rows.map(words.traceRow)].map((line) => `${line}\n`).join('');
