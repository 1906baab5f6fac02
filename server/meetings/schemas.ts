import { z } from 'zod';
import { meetings as t } from '../../views/texts/en/meetings.ts';
import { startModes } from '../heats/plan.ts';
import { choiceField, dateField, decimalField, nameField, tickField } from '../shared/fields.ts';

export const meetingSchema = z.object({
  name: nameField(60),
  date: dateField,
  trackId: z.string({ error: t.form.noTrack }).min(1, t.form.noTrack),
});

export const copySchema = z.object({ ...meetingSchema.shape, entries: tickField });

/** Longest roll time and shortest lap that a form accepts, in seconds. */
const mostRollSeconds = 60;
const mostMinLapSeconds = 600;

const seconds = (most: number) => decimalField(0, most, 1_000_000);

/** The field of one lane's shortest lap. */
export const minLapField = (lane: number) => `minLap-${lane}`;

/** The settings of a night whose track has these lanes. */
export function nightSchema(lanes: readonly number[]) {
  const minLaps = Object.fromEntries(lanes.map((lane) => [minLapField(lane), seconds(mostMinLapSeconds)]));
  return z
    .object({
      startMode: choiceField(startModes as ['ahead', 'behind', 'carry']),
      holdRoll: seconds(mostRollSeconds),
      endRoll: seconds(mostRollSeconds),
    })
    .and(z.object(minLaps))
    .transform((typed) => ({
      startMode: typed.startMode,
      holdRollUs: typed.holdRoll,
      endRollUs: typed.endRoll,
      minLapUs: new Map(lanes.map((lane) => [lane, (typed as Record<string, number>)[minLapField(lane)] ?? 0])),
    }));
}

export const joiningSchema = z.object({ joining: choiceField(['open', 'close', 'new']) });
export const publishSchema = z.object({ published: choiceField(['yes', 'no']) });
