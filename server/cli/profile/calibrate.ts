import { z } from 'zod';
import { calibrationWords as words } from '../../../views/texts/en/calibration.ts';
import { type Calibration, calibrate, mostCounts, sensorBits } from '../../profiles/calibration/calibrate.ts';
import { commandOf, readJsonInput, sourceOf } from '../input.ts';
import { Refusal } from '../refusal.ts';

/** What is wrong with single readings is for the check to say. */
const readingsSchema = z.object({
  bits: z.literal([...sensorBits]),
  restSamples: z.int().min(0),
  counts: z.array(z.number()).max(mostCounts),
});

/** `lanewise profile calibrate FILE`: whether readings of a trigger can be trusted, and where its ends are. */
export const command = commandOf(words, {}, async ([file, ...more], { json }) => {
  if (file === undefined || more.length > 0) throw new Refusal(2, words.wrongUse(words.oneFile));
  const read = readingsSchema.safeParse(await readJsonInput(file));
  if (!read.success) {
    throw new Refusal(1, words.wrongFile(sourceOf(file), read.error.issues[0]?.path.join('.') ?? ''));
  }
  const calibration = calibrate(read.data);
  return json ? `${JSON.stringify(answerOf(calibration))}\n` : textOf(calibration);
});

function answerOf(calibration: Calibration) {
  const { verdict, codes, warnings, ends, adviceDegrees } = calibration;
  const found = ends && {
    released: ends.released,
    pressed: ends.pressed,
    direction: ends.direction,
    travel: ends.travel,
    noise: ends.noise,
    deadBand: ends.deadBand,
  };
  const none = { released: null, pressed: null, direction: null, travel: null, noise: null, deadBand: null };
  return { verdict, codes, warnings, ...(found ?? none), adviceDegrees, sentence: sentencesOf(calibration).join(' ') };
}

/** The verdict, and for everything that was found what to do. */
function sentencesOf(calibration: Calibration): string[] {
  const { verdict, codes } = calibration;
  const advice = words.advice(calibration);
  return [words.verdicts[verdict], ...codes.map((code) => words.codes[code]), ...(advice === null ? [] : [advice])];
}

function textOf(calibration: Calibration): string {
  const { ends } = calibration;
  const lines = sentencesOf(calibration);
  if (ends) {
    const { numbers: w } = words;
    const turn = ((ends.travel * 360) / 2 ** ends.bits).toFixed(1);
    const facts = [
      [w.released, ends.released],
      [w.pressed, ends.pressed],
      [w.direction, ends.direction === 1 ? w.rises : w.falls],
      [w.travel, w.travelOf(ends.travel.toFixed(1), turn)],
      [w.noise, w.counts(ends.noise.toFixed(2))],
      [w.deadBand, w.counts(String(ends.deadBand))],
    ] as const;
    lines.push('', ...facts.map(([label, value]) => `${label.padEnd(11)}${value}`));
  }
  return `${lines.join('\n')}\n`;
}
