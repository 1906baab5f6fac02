import fc from 'fast-check';
import { type DrawRequest, drawRequest } from '../../server/rotation/rotation.ts';

/** Any request up to 40 drivers, 16 lanes (some out), 3 runs a lane, in any lane order. */
export const requests: fc.Arbitrary<DrawRequest> = fc
  .record({
    drivers: fc.integer({ min: 1, max: 40 }),
    lanes: fc.integer({ min: 1, max: 16 }),
    runsPerLane: fc.integer({ min: 1, max: 3 }),
    carsPerHeat: fc.option(fc.integer({ min: 1, max: 16 })),
    marshals: fc.integer({ min: 0, max: 5 }),
  })
  .chain((given) => {
    const lanes = Array.from({ length: given.lanes }, (_, i) => i + 1);
    return fc.record({
      given: fc.constant(given),
      laneOrder: fc.shuffledSubarray(lanes, { minLength: lanes.length }),
      lanesOut: fc.subarray(lanes, { maxLength: lanes.length - 1 }),
    });
  })
  .map(({ given, laneOrder, lanesOut }) =>
    drawRequest({ ...given, drivers: Array.from({ length: given.drivers }, (_, i) => i + 1), laneOrder, lanesOut }),
  );
