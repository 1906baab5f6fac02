/** What a check can find, in the order in which it looks. */
export const calibrationCodes = [
  'TOO_FEW',
  'BAD_COUNT',
  'AT_RAIL',
  'MOVED_TOO_FAST',
  'REST_MOVED',
  'TRAVEL_TOO_SMALL',
  'REST_NOT_AT_END',
  'WRAPPED',
  'NEAR_WRAP',
  'HOLD_LONGER',
  'RETURN_ERROR',
  'LOW_RESOLUTION',
] as const;

export type CalibrationCode = (typeof calibrationCodes)[number];

/** `repeat`: the strokes were not made as asked. `re-seat the magnet`: they were, and the sensor cannot follow them. */
export type Verdict = 'ok' | 'repeat' | 're-seat the magnet';

const repeats: readonly CalibrationCode[] = ['TOO_FEW', 'BAD_COUNT', 'MOVED_TOO_FAST', 'REST_MOVED', 'REST_NOT_AT_END'];
const reseats: readonly CalibrationCode[] = ['WRAPPED', 'TRAVEL_TOO_SMALL', 'AT_RAIL'];

/** The verdict on what was found, and which of it did not decide the verdict. */
export function verdictOn(codes: readonly CalibrationCode[]): { verdict: Verdict; warnings: CalibrationCode[] } {
  const without = (deciding: readonly CalibrationCode[]) => codes.filter((code) => !deciding.includes(code));
  if (codes.some((code) => repeats.includes(code))) return { verdict: 'repeat', warnings: without(repeats) };
  if (codes.some((code) => reseats.includes(code)))
    return { verdict: 're-seat the magnet', warnings: without(reseats) };
  return { verdict: 'ok', warnings: [...codes] };
}
