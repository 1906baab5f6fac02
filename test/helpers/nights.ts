import fc from 'fast-check';
import type { Night } from '../../server/rotation/certificate/certify.ts';
import type { Certificate, Driver, Seat } from '../../server/rotation/rotation.ts';

export const numbers = (n: number) => Array.from({ length: n }, (_, i) => i + 1);

/** One heat: drivers out of 1 to n, on any of the lanes, at least one. */
export const anyHeat = (drivers: readonly number[], lanes: number): fc.Arbitrary<Seat[]> =>
  fc
    .shuffledSubarray([...drivers, ...Array<null>(lanes).fill(null)], { minLength: lanes, maxLength: lanes })
    .filter((seats) => seats.some((seat) => seat !== null));

/** One heat with the marshals that were found for it. */
const anyStaffedHeat = (drivers: readonly number[], lanes: number, wanted: number) =>
  anyHeat(drivers, lanes).chain((seats) => {
    const sitting = drivers.filter((driver) => !seats.includes(driver));
    const marshals = fc.shuffledSubarray(sitting, { maxLength: Math.min(wanted, sitting.length) });
    return fc.record({ seats: fc.constant(seats), marshals });
  });

/** Nights as people make them: uneven heats and runs, some run, with drivers who left and drivers who came late. */
export const nights: fc.Arbitrary<Night> = fc
  .record({
    drivers: fc.integer({ min: 2, max: 9 }),
    lanes: fc.integer({ min: 1, max: 4 }),
    left: fc.integer({ min: 0, max: 2 }),
    late: fc.integer({ min: 0, max: 2 }),
    wanted: fc.integer({ min: 0, max: 3 }),
  })
  .chain(({ drivers, lanes, left, late, wanted }) => {
    const first = numbers(drivers + left);
    const then = numbers(drivers + left + late).slice(left);
    return fc.record({
      drivers: fc.constant(numbers(drivers + left + late)),
      lanes: fc.constant(lanes),
      leave: fc.constant(first.slice(0, left)),
      late: fc.constant(numbers(drivers + left + late).slice(drivers + left)),
      wanted: fc.constant(wanted),
      done: fc.array(anyHeat(first, lanes), { maxLength: 6 }),
      staffed: fc.array(anyStaffedHeat(then, lanes, wanted), { minLength: 1, maxLength: 8 }),
    });
  })
  .map(({ staffed, ...night }) => ({
    ...night,
    heats: staffed.map((heat) => heat.seats),
    marshals: staffed.map((heat) => heat.marshals as Driver[]),
    purpose: 'by hand' as const,
  }));

/** The figure of each criterion that its bound is for. */
export const achievedIn = (c: Certificate): Record<keyof Certificate, number> => ({
  lanes: c.lanes.spread,
  opponents: c.opponents.sumSquares,
  backToBack: c.backToBack.count,
  sitOut: c.sitOut.longest,
  neighbours: c.neighbours.sumSquares,
  carryOver: c.carryOver.sumSquares,
  duty: c.duty.spread,
  timeOfNight: c.timeOfNight.deviation,
});

export const criteria = (c: Certificate) =>
  (Object.entries(achievedIn(c)) as [keyof Certificate, number][]).map(([name, achieved]) => ({
    name,
    achieved,
    ...c[name],
  }));
