import { z } from 'zod';
import { workbench as words } from '../../views/texts/en/workbench.ts';
import { type BenchInputs, type InputName, inputNames, inputRanges, wholeInputs } from './inputs.ts';
import { wireOfGauge } from './wire.ts';

/** One number of the inputs, in the unit of its name. */
function valueOf(name: Exclude<InputName, 'supplyCanSink'>) {
  const [least, most] = inputRanges[name];
  const whole = wholeInputs.includes(name);
  const sentence = (whole ? words.whole : words.number)(least, most);
  const number = z.number({ error: sentence }).min(least, sentence).max(most, sentence);
  return whole ? number.int(sentence) : number;
}

type NumberName = keyof typeof inputRanges;
const numberNames = Object.keys(inputRanges) as NumberName[];

const shapeOf = <S extends z.ZodType>(schema: (name: NumberName) => S) =>
  Object.fromEntries(numberNames.map((name) => [name, schema(name)])) as Record<NumberName, S>;

/** Copper as printed on a wire is rounded, by less than this share. Common practice, no source. */
const mostRounded = 0.1;

/** Whether gauge and copper, where both are given, can be of one wire: of two wires one would be believed unasked. */
const isOneWire = ({ awg, areaMm2 }: Pick<BenchInputs, 'awg' | 'areaMm2'>): boolean =>
  awg === null || areaMm2 === null || Math.abs(areaMm2 / wireOfGauge(awg).areaMm2 - 1) <= mostRounded;
const oneWire = { path: ['areaMm2'], error: words.twoWires };

/** The inputs as a file holds them; what is left out or null is not known. */
export const benchFileSchema = z
  .strictObject({
    ...shapeOf((name) => valueOf(name).nullable().default(null)),
    supplyCanSink: z.boolean({ error: words.boolean }).nullable().default(null),
  })
  .refine(isOneWire, oneWire);

/** The same as a form sends them: an empty field is not known. A comma may stand for the point. */
export const benchFormSchema = z
  .object({
    ...shapeOf((name) =>
      z
        .string()
        .default('')
        .transform((typed, ctx) => {
          const text = typed.trim().replace(',', '.');
          if (text === '') return null;
          const read = valueOf(name).safeParse(/^-?\d{1,9}(\.\d{1,9})?$/.test(text) ? Number(text) : null);
          if (read.success) return read.data;
          ctx.addIssue({ code: 'custom', message: read.error.issues[0]?.message ?? '' });
          return z.NEVER;
        }),
    ),
    supplyCanSink: z
      .string()
      .optional()
      .transform((typed) => (typed === 'yes' ? true : typed === 'no' ? false : null)),
  })
  .refine(isOneWire, oneWire);

/** Only what is a field of the form counts as filled in. */
export const isFilledIn = (query: Readonly<Record<string, unknown>>): boolean =>
  inputNames.some((name) => typeof query[name] === 'string');

export type FileRead =
  | { readonly ok: true; readonly inputs: BenchInputs }
  | { readonly ok: false; readonly sentence: string };

/** Reads the inputs out of a file's JSON. */
export function readBenchFile(value: unknown): FileRead {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) {
    return { ok: false, sentence: words.notAnObject };
  }
  const read = benchFileSchema.safeParse(value);
  if (read.success) return { ok: true, inputs: read.data };
  const [issue] = read.error.issues;
  const unknown = issue?.code === 'unrecognized_keys' ? issue.keys[0] : undefined;
  const sentence =
    unknown === undefined
      ? words.wrongKey(String(issue?.path[0] ?? ''), issue?.message ?? '')
      : words.unknownKey(unknown);
  return { ok: false, sentence };
}
