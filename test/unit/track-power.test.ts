import { expect, test } from 'vitest';
import { meantRollTimes, powerCutOf, usualRollTimes } from '../../server/tracks/power.ts';
import { suggestedMinLapUs } from '../../server/tracks/settings.ts';

const own = { holdRollUs: 3_000_000, endRollUs: 1_000_000 };

test('the usual roll times of each case (common practice, no source)', () => {
  expect(usualRollTimes).toEqual({
    relay: { holdRollUs: 2_000_000, endRollUs: 2_000_000 },
    hand: { holdRollUs: 5_000_000, endRollUs: 2_000_000 },
    nobody: { holdRollUs: 10_000_000, endRollUs: 0 },
  });
  for (const cut of ['relay', 'hand', 'nobody'] as const) expect(powerCutOf(usualRollTimes[cut])).toBe(cut);
  expect(powerCutOf(own)).toBe('own');
});

test('typed times win; untouched ones follow another case', () => {
  const { relay, hand, nobody } = usualRollTimes;
  expect(meantRollTimes('hand', relay, relay)).toEqual(hand);
  expect(meantRollTimes('nobody', own, own)).toEqual(nobody);
  expect(meantRollTimes('hand', own, relay)).toEqual(own);
  expect(meantRollTimes('relay', own, relay)).toEqual(own);
  expect(meantRollTimes('relay', relay, relay)).toEqual(relay);
  expect(meantRollTimes('own', relay, relay)).toEqual(relay);
  expect(meantRollTimes('hand', relay, null)).toEqual(relay);
});

test('a shortest lap is 0.7 of the best clean one, and never under 0.5 s (common practice, no source)', () => {
  expect(suggestedMinLapUs(5_000_000)).toBe(3_500_000);
  expect(suggestedMinLapUs(4_812_345)).toBe(3_368_000);
  expect(suggestedMinLapUs(600_000)).toBe(500_000);
});
