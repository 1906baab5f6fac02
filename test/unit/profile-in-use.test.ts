import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Choice, choiceInUse, type Place } from '../../server/profiles/in-use.ts';

const place: Place = { carId: 'coupe', classId: 'open', trackId: 'attic', lane: 2 };
let minutes = 0;

/** A choice made after those before it. */
function choice(profileId: string, of: Partial<Choice> = {}): Choice {
  minutes += 1;
  const any = { lane: null, trackId: null, carId: null, carClassId: null };
  return { profileId, version: 1, ...any, chosenAt: new Date(Date.UTC(2026, 10, 1, 20, minutes)), ...of };
}

const inUse = (choices: Choice[], at: Partial<Place> = {}) =>
  choiceInUse(choices, { ...place, ...at })?.profileId ?? null;

describe('which choice is in use', () => {
  test('none where nothing fits', () => {
    expect(inUse([])).toBeNull();
    expect(
      inUse([choice('a', { lane: 3 }), choice('b', { trackId: 'hall' }), choice('c', { carId: 'truck' })]),
    ).toBeNull();
  });

  test('the lane comes before the track, the track before the car, the car before anything', () => {
    const any = choice('any');
    const car = choice('car', { carId: 'coupe', carClassId: 'open' });
    const track = choice('track', { trackId: 'attic' });
    const both = choice('both', { trackId: 'attic', carId: 'coupe', carClassId: 'open' });
    const lane = choice('lane', { lane: 2 });
    const later = choice('later');
    expect(inUse([any, car, track, both, lane, later])).toBe('lane');
    expect(inUse([any, car, track, both, lane, later], { lane: 1 })).toBe('both');
    expect(inUse([any, car, track, later])).toBe('track');
    expect(inUse([any, car, later])).toBe('car');
    expect(inUse([any, later])).toBe('later');
  });

  test('a driver who named no car has the profiles of every car of the class, and of no car', () => {
    const open = choice('open', { carId: 'coupe', carClassId: 'open' });
    const other = choice('other', { carId: 'truck', carClassId: 'trucks' });
    const without = choice('without', { carId: 'kit', carClassId: null });
    expect(inUse([open, other, without], { carId: null })).toBe('open');
    expect(inUse([other, without], { carId: null })).toBeNull();
    expect(inUse([without], { carId: null, classId: null })).toBe('without');
    expect(inUse([other, choice('any')], { carId: null })).toBe('any');
    // Another car was named: a profile of this one is not for it.
    expect(inUse([open], { carId: 'kit' })).toBeNull();
  });

  test('where no lane is known, only what is for every lane counts', () => {
    expect(inUse([choice('lane', { lane: 2 }), choice('every')], { lane: null })).toBe('every');
    expect(inUse([choice('lane', { lane: 2 })], { lane: null })).toBeNull();
  });

  test('the order in which choices are read does not matter', () => {
    const one = fc.record({
      lane: fc.constantFrom(null, 1, 2),
      trackId: fc.constantFrom(null, 'attic', 'hall'),
      carId: fc.constantFrom(null, 'coupe', 'truck'),
      carClassId: fc.constantFrom(null, 'open'),
    });
    const shuffled = fc
      .array(one, { maxLength: 8 })
      .map((made) => made.map((of, i) => choice(String(i), of)))
      .chain((choices) => fc.tuple(fc.constant(choices), fc.shuffledSubarray(choices, { minLength: choices.length })));
    fc.assert(
      fc.property(shuffled, fc.constantFrom(null, 1, 2), ([choices, again], lane) => {
        expect(inUse(again, { lane })).toBe(inUse(choices, { lane }));
      }),
    );
  });
});
