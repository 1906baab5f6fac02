import { z } from 'zod';
import { motor as t } from '../../../views/texts/en/motor.ts';
import { optionalField } from '../../shared/fields.ts';
import { type FormState, freshForm } from '../../shared/form.ts';
import type { BenchReadings, BenchValues } from './bench.ts';
import type { CarMotor } from './motor.ts';
import { isSlowEnough, motorDefaults, motorKeys, motorRanges, tooFast } from './motor-schema.ts';

/** A number as people type it: a comma may stand for the point, and small ones may be written as 1.2e-7. */
function numberField(label: string, min: number, max: number) {
  const wrong = t.car.wrong(label, min, max);
  return z.string({ error: wrong }).transform((typed, ctx) => {
    const text = typed.trim().replace(',', '.');
    const value = /^(\d{1,9}\.?\d{0,12}|\.\d{1,12})(e[+-]?\d{1,2})?$/i.test(text) ? Number(text) : Number.NaN;
    if (value >= min && value <= max) return value;
    ctx.addIssue({ code: 'custom', message: wrong });
    return z.NEVER;
  });
}

const motorField = (key: keyof CarMotor) => {
  const [min, max] = motorRanges[key];
  return numberField(t.car.fields[key].label, min, max);
};
const emptyIs = (key: keyof typeof motorDefaults) => {
  const [min, max] = motorRanges[key];
  return z
    .string()
    .default('')
    .transform((typed) => (typed.trim() === '' ? String(motorDefaults[key]) : typed))
    .pipe(numberField(t.car.fields[key].label, min, max));
};

/** The form of a car's motor; what may be left out becomes its usual value. */
export const motorFormSchema = z
  .object({
    rOhm: motorField('rOhm'),
    lMh: motorField('lMh'),
    keVs: motorField('keVs'),
    jm: motorField('jm'),
    b: motorField('b'),
    tf: motorField('tf'),
    vs: motorField('vs'),
    mKg: motorField('mKg'),
    rM: motorField('rM'),
    gear: motorField('gear'),
    mu: motorField('mu'),
    fMagN: emptyIs('fMagN'),
    crr: emptyIs('crr'),
    rear: emptyIs('rear'),
    rho: emptyIs('rho'),
    wiringOhm: emptyIs('wiringOhm'),
  })
  .refine(isSlowEnough, tooFast) satisfies z.ZodType<CarMotor>;

/** A motor as its form shows it; without one the form is empty but for the usual values. */
export function motorForm(motor: CarMotor | null): FormState {
  const values: Partial<CarMotor> = motor ?? motorDefaults;
  return freshForm(
    Object.fromEntries(motorKeys.map((key) => [key, values[key] === undefined ? '' : shown(values[key])])),
  );
}

/** The same with what the bench gave. */
export function withBench(form: FormState, values: BenchValues): FormState {
  const computed = Object.entries(values).map(([key, value]) => [key, shown(Number(value.toPrecision(4)))]);
  return freshForm({ ...form.typed, ...Object.fromEntries(computed) });
}

/** Small values stand in powers of ten. */
const shown = (value: number) => (value !== 0 && value < 1e-3 ? value.toExponential() : String(value));

const { bench } = t.car;
const volts = (label: string) => numberField(label, 0.01, 100);
const amperes = (label: string) => numberField(label, 0.001, 1000);
const turns = (label: string) => numberField(label, 1, 1_000_000);

/** Readings of the bench. */
export const benchSchema = z
  .object({
    heldV: volts(bench.heldV),
    heldA: amperes(bench.heldA),
    freeV: volts(bench.freeV),
    freeA: amperes(bench.freeA),
    freeRpm: turns(bench.freeRpm),
    free2A: optionalField(amperes(bench.free2A)),
    free2Rpm: optionalField(turns(bench.free2Rpm)),
  })
  .transform(({ free2A, free2Rpm, ...first }, ctx): BenchReadings => {
    if (free2A !== null && free2Rpm !== null) return { ...first, second: { freeA: free2A, freeRpm: free2Rpm } };
    if (free2A === null && free2Rpm === null) return { ...first, second: null };
    ctx.addIssue({
      code: 'custom',
      path: [free2A === null ? 'free2A' : 'free2Rpm'],
      message: bench.both,
    });
    return z.NEVER;
  });
