import fc from 'fast-check';
import {
  type CurvePoint,
  curvePoints,
  leastDriveSpan,
  ranges,
  type Tuning,
} from '../../server/profiles/model/profile.ts';

const within = ([min, max]: readonly [number, number]) => fc.integer({ min, max });

/** Any curve of points that a profile may hold. */
export const anyPoints: fc.Arbitrary<CurvePoint[]> = fc
  .integer({ min: curvePoints.fewest, max: curvePoints.most })
  .chain((n) =>
    fc.record({
      // What is left of the travel after the least distances is shared out at random.
      shares: fc.array(fc.integer({ min: 0, max: 1000 }), { minLength: n - 1, maxLength: n - 1 }),
      inner: fc.array(fc.integer({ min: 0, max: 1000 }), { minLength: n - 2, maxLength: n - 2 }),
    }),
  )
  .map(({ shares, inner }) => {
    const free = 1000 - curvePoints.leastApart * shares.length;
    const total = shares.reduce((sum, share) => sum + share, 0);
    const y = [0, ...inner.toSorted((a, b) => a - b), 1000];
    let upTo = 0;
    return y.map((drive, i): CurvePoint => {
      if (i === 0) return [0, drive];
      upTo += shares[i - 1] as number;
      const spread = i === shares.length ? free : total === 0 ? 0 : Math.floor((free * upTo) / total);
      return [curvePoints.leastApart * i + spread, drive];
    });
  });

/** Any setup that a profile may hold. */
export const anyTuning: fc.Arbitrary<Tuning> = fc
  .record({
    minDrive: within(ranges.minDrive),
    span: fc.integer({ min: leastDriveSpan, max: 1000 }),
    releaseBand: within(ranges.releaseBand),
    curve: fc.oneof(
      within(ranges.shape).map((shape) => ({ kind: 'shape' as const, shape })),
      anyPoints.map((points) => ({ kind: 'points' as const, points })),
    ),
    rampUpMs: within(ranges.rampUpMs),
    brakeFull: within(ranges.brakeFull),
    strength: within(ranges.dragStrength),
    zone: fc.tuple(within(ranges.dragZone), within(ranges.dragZone)),
    closingOnly: fc.boolean(),
    pwmHz: within(ranges.pwmHz),
    mode: fc.constantFrom(['slow', 'async'] as const, ['slow', 'sync'] as const, ['fast', 'async'] as const),
  })
  .map(({ minDrive, span, strength, zone, closingOnly, mode: [decay, rectify], ...rest }) => ({
    ...rest,
    minDrive,
    maxDrive: Math.max(ranges.maxDrive[0], Math.min(1000, minDrive + span)),
    drag: { strength, zoneFrom: Math.min(...zone), zoneTo: Math.max(...zone), closingOnly },
    decay,
    rectify,
  }));
