import { z } from 'zod';
import { unitApi as t } from '../../views/texts/en/unit-api.ts';
import { sensorBits } from '../profiles/calibration/calibrate.ts';
import { mostReadings, type TracePart } from './trace-parts.ts';

/**
 * What a controller unit may send: JSON whose keys are exactly these. An unknown key is an error and not passed over,
 * because it is a misspelt one or a unit that expects more of the server than there is.
 */

/** Greatest body of a request of a unit. */
export const unitLimitBytes = 64 * 1024;
/** Readings in one part. */
export const mostInPart = 2000;

const whole = (max: number) =>
  z
    .int({ error: t.wholeNumber(0, max) })
    .min(0, t.wholeNumber(0, max))
    .max(max, t.wholeNumber(0, max));

/** `POST /api/v1/units/me/mechanical` */
export const touchedSchema = z.strictObject({ mechanical_setting: whole(2 ** 31 - 1) });

/** `POST /api/v1/units/me/samples` */
export const samplesSchema = z
  .strictObject({
    trace: z.string({ error: t.trace }).regex(/^[A-Za-z0-9_-]{1,32}$/, t.trace),
    seq: whole(mostReadings),
    bits: z.literal([...sensorBits], { error: t.bits }),
    rest_samples: whole(mostReadings),
    // A count outside the sensor's range is for the check to find.
    counts: z.array(whole(2 ** 31 - 1), { error: t.counts(mostInPart) }).max(mostInPart, t.counts(mostInPart)),
    last: z.boolean({ error: t.yesOrNo }),
  })
  .transform(({ trace, rest_samples, ...rest }): TracePart & { trace: string } => ({
    trace,
    restSamples: rest_samples,
    ...rest,
  }));
