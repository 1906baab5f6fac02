/** What a check of a trigger found. Nothing here may need an import. */

const degrees = (turn: number) => `${Math.abs(Math.round(turn))} degree${Math.abs(Math.round(turn)) === 1 ? '' : 's'}`;

/** A check's outcome, as far as the advice goes. */
interface Found {
  readonly verdict: string;
  readonly codes: readonly string[];
  /** Positive in the sense in which the sensor counts up. */
  readonly adviceDegrees: number | null;
}

export const calibrationWords = {
  verdicts: {
    ok: 'The trigger reads well.',
    repeat: 'Repeat the strokes.',
    're-seat the magnet': 'Re-seat the magnet.',
  },
  /** For each code: what happened and what to do. */
  codes: {
    TOO_FEW:
      'Too few readings: 200 are needed, at least 30 of them with hands off and at most half. Start again and take more time.',
    BAD_COUNT:
      'At least one reading is no whole number of the sensor’s range. Choose the right number of bits, or look at how the readings are sent.',
    AT_RAIL:
      'The sensor stood still at the very end of its range. Its output is stuck, or the magnet rests exactly where the count starts again: re-seat the magnet and look at the wires.',
    MOVED_TOO_FAST:
      'The trigger moved by more than a quarter turn between two readings. Press more slowly, or have it read more often.',
    REST_MOVED:
      'The trigger moved while it should have been at rest. Take your hands off, wait a second, and start again.',
    TRAVEL_TOO_SMALL:
      'From end to end it is less than 10 degrees, or hardly more than the noise. Press all the way; if you did, bring the magnet closer to the axis of the sensor.',
    REST_NOT_AT_END:
      'The trigger went past its rest to the other side, as it does when a finger lay on it at the start. Take your hands off and start again.',
    WRAPPED: 'The count starts again at 0 within the travel. Turn the magnet, so that the travel lies in the middle.',
    NEAR_WRAP:
      'One end lies close to where the count starts again. It works; turn the magnet when the controller is open the next time.',
    HOLD_LONGER: 'The pressed end was held too briefly to be sure of it. Hold it half a second in every stroke.',
    RETURN_ERROR:
      'The trigger did not come back to where it had started. Look for friction at the axis, or a weak spring.',
    LOW_RESOLUTION:
      'There are fewer than 100 steps above the noise between the ends. It works, but small movements are lost: bring the magnet closer, or keep the sensor’s wires away from those of the motor.',
  },
  /** Where to turn the magnet; null where the readings do not say. A trigger that reads well may stay as it is. */
  advice: ({ verdict, codes, adviceDegrees }: Found): string | null => {
    if (adviceDegrees === null || verdict === 'repeat') return null;
    if (Math.round(adviceDegrees) === 0) {
      return 'The magnet sits as well as it can: the travel lies in the middle of the turn.';
    }
    const way =
      adviceDegrees > 0 ? 'in the direction in which the count rises' : 'in the direction in which the count falls';
    const turn = `urn the magnet by ${degrees(adviceDegrees)} ${way}`;
    return verdict === 'ok' && !codes.includes('NEAR_WRAP')
      ? `Nothing has to be touched. Only if the controller is open anyway: t${turn}, and the travel lies in the middle.`
      : `T${turn}.`;
  },

  usage: `Usage: lanewise profile calibrate FILE [--json]          (FILE may be -, standard input)

FILE holds {"bits": 12 or 14, "restSamples": …, "counts": [ … ]}: readings of a trigger's sensor, the first restSamples of
them with hands off, then three slow full strokes that hold the pressed end half a second each, then hands off.
A pressed trigger drives the motor: take the car off the track, or switch track power off.

  --json     one JSON document instead of text
  --help     this text
`,
  wrongUse: (reason: string) => `${reason}\n"lanewise profile calibrate --help" says what is possible.`,
  oneFile: 'Name one file of readings.',
  wrongFile: (source: string, where: string) =>
    `${source}: ${where === '' ? 'the file' : `"${where}"`} is not as it should be: {"bits": 12 or 14, "restSamples": a whole number, "counts": up to 60000 numbers}.`,
  numbers: {
    released: 'Released',
    pressed: 'Pressed',
    direction: 'Direction',
    rises: 'pressing makes the count rise',
    falls: 'pressing makes the count fall',
    travel: 'Travel',
    noise: 'Noise',
    deadBand: 'Dead band',
    counts: (value: string) => `${value} counts`,
    travelOf: (counts: string, turn: string) => `${counts} counts, ${turn} degrees`,
  },
} as const;
