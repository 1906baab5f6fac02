import { z } from 'zod';
import { timing as t } from '../../views/texts/en/timing.ts';
import { integerField } from '../shared/fields.ts';
import type { ReportedCrossing } from './reports.ts';

/**
 * What devices may send: JSON whose keys are exactly these. An unknown key is an error and not passed over, because it is
 * a misspelt one or a device that expects more of the server than there is.
 */

/** Greatest body of a report. */
export const reportLimitBytes = 64 * 1024;

const whole = (max: number) =>
  z
    .int({ error: t.wholeNumber(0, max) })
    .min(0, t.wholeNumber(0, max))
    .max(max, t.wholeNumber(0, max));
const safe = Number.MAX_SAFE_INTEGER;
const int32 = 2 ** 31 - 1;
const wrapUs = 2 ** 32;

const boot = z.string({ error: t.boot }).regex(/^[A-Za-z0-9_-]{1,32}$/, t.boot);
const rttUs = z.union([whole(safe), z.null()], { error: t.wholeNumberOrNull });
const crossings = z
  .array(
    z.strictObject({
      seq: whole(safe),
      lane: z
        .int({ error: t.wholeNumber(-int32, int32) })
        .min(-int32, t.wholeNumber(-int32, int32))
        .max(int32, t.wholeNumber(-int32, int32)),
      t_us: whole(safe),
    }),
    { error: t.events },
  )
  .min(1, t.events)
  .max(500, t.events)
  .refine((events) => new Set(events.map(({ seq }) => seq)).size === events.length, t.sameNumber)
  .transform((events): ReportedCrossing[] => events.map(({ t_us, ...event }) => ({ ...event, tUs: t_us })));

/** A clock of 32 bits cannot show more. */
function withinBits(value: { bits: 32 | 64; sent_us: number; events?: ReportedCrossing[] }): boolean {
  if (value.bits === 64) return true;
  return value.sent_us < wrapUs && (value.events ?? []).every(({ tUs }) => tUs < wrapUs);
}

const clock = { boot, bits: z.literal([32, 64], { error: t.bits }), sent_us: whole(safe) };

/** `POST /api/v1/crossings` */
export const crossingsSchema = z.strictObject({ ...clock, events: crossings }).refine(withinBits, t.beyondBits);

/** `POST /api/v1/heartbeat` */
export const heartbeatSchema = z
  .strictObject({ ...clock, buffered: whole(int32), rtt_us: rttUs })
  .refine(withinBits, t.beyondBits);

/** A timekeeper's page: the same, and as it sends no heartbeats the round trip comes with the taps. */
export const tapsSchema = z
  .union([
    z.strictObject({ boot, sent_us: whole(safe), rtt_us: rttUs.optional(), crossings }),
    z
      .strictObject({ ...clock, bits: z.literal(64), events: crossings })
      .transform(({ events, ...rest }) => ({ ...rest, rtt_us: null, crossings: events })),
  ])
  .transform(({ boot, sent_us, rtt_us, crossings }) => ({ boot, sentUs: sent_us, rttUs: rtt_us ?? null, crossings }));

/** One press on a timekeeper's page without scripts. */
export const tapFormSchema = z.object({
  lane: integerField(1, 99),
  command_id: z
    .string()
    .regex(/^[\w-]{1,64}$/)
    .optional(),
});

/** The first thing that is wrong with a body, in words for whoever writes the device's program. */
export function whatIsWrong(error: z.ZodError): string {
  const [issue] = error.issues;
  return t.wrong(issue?.path.join('.') ?? '', issue?.message ?? '');
}
