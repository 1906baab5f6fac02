import { z } from 'zod';
import { choiceField, colourField, decimalField, integerField, nameField } from '../shared/fields.ts';
import { powerCuts } from './power.ts';
import type { NewLane } from './store.ts';

export const startModes = ['ahead', 'behind', 'carry'] as const;
export const maxLanes = 16;

const rollTime = decimalField(0, 60, 1_000_000);
const shownTime = rollTime.optional().catch(undefined);

const settings = z.object({
  name: nameField(60),
  startMode: choiceField(startModes),
  power: choiceField(powerCuts),
  holdRoll: rollTime,
  endRoll: rollTime,
  lanes: integerField(1, maxLanes),
  /** The roll times the page showed, so that a change of them can be told from none. */
  shownHoldRoll: shownTime,
  shownEndRoll: shownTime,
});

const laneShape = {
  colour: colourField,
  length: decimalField(0.1, 1000, 1000),
  minLap: decimalField(0, 600, 1_000_000),
};

/** Name of a lane's field in the form: `colour-3`. */
export function laneField(field: keyof typeof laneShape | 'pattern', number: number): string {
  return `${field}-${number}`;
}

export type TrackForm = z.output<typeof settings> & {
  /** Lanes that the form described, by number from 1; at most `lanes` of them. */
  described: NewLane[];
};

/**
 * The form of a track: its own fields, then those of as many lanes as the page showed.
 *
 * @param patterns names of the hatch patterns to choose from
 */
export function trackSchema(patterns: readonly [string, ...string[]]) {
  const lane = z.object({ ...laneShape, pattern: choiceField(patterns) });
  return z.record(z.string(), z.unknown()).transform((fields, ctx): TrackForm => {
    const parsed = settings.safeParse(fields);
    for (const issue of parsed.error?.issues ?? []) {
      ctx.addIssue({ code: 'custom', path: [...issue.path], message: issue.message });
    }
    const last = parsed.data?.lanes ?? maxLanes;
    const described: NewLane[] = [];
    for (let number = 1; number <= last && laneField('colour', number) in fields; number += 1) {
      const read = lane.safeParse({
        colour: fields[laneField('colour', number)],
        pattern: fields[laneField('pattern', number)],
        length: fields[laneField('length', number)],
        minLap: fields[laneField('minLap', number)],
      });
      for (const issue of read.error?.issues ?? []) {
        ctx.addIssue({ code: 'custom', path: [`${String(issue.path[0])}-${number}`], message: issue.message });
      }
      if (read.success) {
        const { colour, pattern, length, minLap } = read.data;
        described.push({ number, colour, pattern, lengthMm: length, minLapUs: minLap });
      }
    }
    return parsed.success ? { ...parsed.data, described } : z.NEVER;
  });
}
