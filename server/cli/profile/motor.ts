import { z } from 'zod';
import { motorCommand as words } from '../../../views/texts/en/motor-command.ts';
import { type MotorFigures, motorFigures } from '../../profiles/motor/figures.ts';
import { type CarMotor, presets } from '../../profiles/motor/motor.ts';
import { isPreset, motorRanges, motorSchema, presetNames } from '../../profiles/motor/motor-schema.ts';
import { commandOf, readJsonInput, sourceOf } from '../input.ts';
import { Refusal } from '../refusal.ts';
import { readProfileValue } from './profile-file.ts';

const documentSchema = z.object({ motor: z.unknown(), profile: z.unknown() });

/** `lanewise profile motor FILE`: what a motor and its car do with a profile. */
export const command = commandOf(words, {}, async ([file, ...more], { json }) => {
  if (file === undefined || more.length > 0) throw new Refusal(2, words.wrongUse(words.oneFile));
  const read = documentSchema.safeParse(await readJsonInput(file));
  if (!read.success || read.data.motor === undefined || read.data.profile === undefined) {
    throw new Refusal(1, words.noDocument(sourceOf(file)));
  }
  const motor = motorOf(read.data.motor);
  const figures = motorFigures(motor, readProfileValue(read.data.profile));
  return json ? `${JSON.stringify(figures)}\n` : textOf(figures);
});

/** @throws Refusal with exit code 1 */
function motorOf(value: unknown): CarMotor {
  if (isPreset(value)) return presets[value];
  if (typeof value !== 'object') throw new Refusal(1, words.noPreset(presetNames));
  const read = motorSchema.safeParse(value);
  if (read.success) return read.data;
  const [issue] = read.error.issues;
  if (issue?.code === 'unrecognized_keys') throw new Refusal(1, words.unknownKey(issue.keys[0] ?? ''));
  // Values that are each within their range, and of no motor together.
  if (issue?.code === 'custom') throw new Refusal(1, issue.message);
  const key = issue?.path[0] as keyof CarMotor | undefined;
  // Null and lists are objects to JavaScript.
  if (key === undefined || !(key in motorRanges)) throw new Refusal(1, words.noPreset(presetNames));
  const [least, most] = motorRanges[key];
  throw new Refusal(1, words.wrongValue(key, least, most));
}

function textOf(figures: MotorFigures): string {
  const { rows } = words;
  const light = figures.lightLoad;
  const lines: [string, string][] = [
    [rows.steadySpeed, words.motorSpeed(figures.steadySpeedMPerS, figures.steadySpeedRadPerS)],
    [rows.electrical, words.ms(figures.electricalTimeConstantS)],
    [rows.mechanical, words.ms(figures.mechanicalTimeConstantS)],
    [rows.fullBrake, words.stop(figures.fullBrakeStopTimeS, figures.fullBrakeStopDistanceM)],
    [rows.release, words.stop(figures.releaseStopTimeS, figures.releaseStopDistanceM)],
    [rows.coast, words.stop(figures.coastTimeS, figures.coastDistanceM)],
    [rows.stall, words.amperes(figures.stallCurrentA)],
    [rows.peak, words.amperes(figures.peakCurrentA)],
    [rows.ripple, words.amperes(figures.continuousRippleHalfDutyA)],
    [rows.light(light.duty), words.light(light.speedMPerS, light.rmsCurrentA, light.windingHeatW)],
    [rows.grip, words.newtons(figures.gripN)],
    ...figures.wheelsSlideAbove.map(({ speedMPerS, brakeShare }): [string, string] => [
      rows.slide(words.speed(speedMPerS)),
      words.slideAbove(brakeShare),
    ]),
  ];
  const width = Math.max(...lines.map(([label]) => label.length));
  return `${lines.map(([label, value]) => `${label.padEnd(width)}  ${value}`).join('\n')}\n\n${words.honest}\n`;
}
