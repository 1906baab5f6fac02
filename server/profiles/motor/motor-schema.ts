import { z } from 'zod';
import { motor as t } from '../../../views/texts/en/motor.ts';
import { carOf } from './car.ts';
import { poles } from './closed-form.ts';
import { type CarMotor, type PresetName, presets } from './motor.ts';

/** Least and most of every value, in its own unit: far beyond anything on a track, so that nothing overflows. */
export const motorRanges = {
  rOhm: [0.001, 1000],
  lMh: [0.001, 10_000],
  keVs: [1e-5, 10],
  jm: [1e-10, 1],
  b: [0, 1],
  tf: [0, 1],
  vs: [0.5, 100],
  mKg: [0.001, 10],
  rM: [0.001, 1],
  gear: [0.1, 100],
  mu: [0.01, 10],
  fMagN: [0, 100],
  crr: [0, 1],
  rear: [0.05, 1],
  rho: [0.05, 1],
  wiringOhm: [0, 100],
} as const satisfies Record<keyof CarMotor, readonly [number, number]>;

export const motorKeys = Object.keys(motorRanges) as (keyof CarMotor)[];

/** Values that may be left out. */
export const motorDefaults = {
  fMagN: 0,
  crr: 0.03,
  rear: 0.6,
  rho: 0.7,
  wiringOhm: 0,
} as const satisfies Partial<CarMotor>;

/**
 * Fastest swinging between current and speed, rad/s: twenty times that of a strong motor of the hobby. Every swing is
 * worked out by itself, so a motor made of the ends of {@link motorRanges} would keep the program busy for minutes.
 */
const fastestSwing = 10_000;

/** What binds the values of a motor together. */
export const isSlowEnough = (motor: CarMotor): boolean => Math.abs(poles(carOf(motor))[0][1]) <= fastestSwing;
export const tooFast = { path: ['lMh'], error: t.car.tooFast };

const value = (key: keyof CarMotor) => z.number().min(motorRanges[key][0]).max(motorRanges[key][1]);
const optional = (key: keyof typeof motorDefaults) => value(key).default(motorDefaults[key]);

/** A motor and its car as an object; keys that it does not know are refused. */
export const motorSchema: z.ZodType<CarMotor> = z
  .strictObject({
    rOhm: value('rOhm'),
    lMh: value('lMh'),
    keVs: value('keVs'),
    jm: value('jm'),
    b: value('b'),
    tf: value('tf'),
    vs: value('vs'),
    mKg: value('mKg'),
    rM: value('rM'),
    gear: value('gear'),
    mu: value('mu'),
    fMagN: optional('fMagN'),
    crr: optional('crr'),
    rear: optional('rear'),
    rho: optional('rho'),
    wiringOhm: optional('wiringOhm'),
  })
  .refine(isSlowEnough, tooFast);

export const presetNames = Object.keys(presets) as PresetName[];

export const isPreset = (name: unknown): name is PresetName => presetNames.some((known) => known === name);
