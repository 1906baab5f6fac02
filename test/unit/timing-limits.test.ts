import fc from 'fast-check';
import { expect, test } from 'vitest';
import { DeviceLimits } from '../../server/timing/limits.ts';
import { type Bucket, take } from '../../server/timing/token-bucket.ts';

test('never more than the allowance in any stretch of time, and what was refused fits after the wait', () => {
  const allowance = { perSecond: 50, atOnce: 80 };
  const calls = fc.array(fc.record({ afterMs: fc.nat(400), amount: fc.integer({ min: 1, max: 80 }) }), {
    maxLength: 60,
  });
  fc.assert(
    fc.property(calls, (drawn) => {
      let bucket: Bucket | null = null;
      let nowMs = 0;
      const taken: { atMs: number; amount: number }[] = [];
      for (const { afterMs, amount } of drawn) {
        nowMs += afterMs;
        const result = take(bucket, allowance, amount, nowMs);
        bucket = result.bucket;
        if (result.waitMs > 0) {
          expect(take(bucket, allowance, amount, nowMs + result.waitMs).waitMs).toBe(0);
          if (result.waitMs > 1)
            expect(take(bucket, allowance, amount, nowMs + result.waitMs - 1).waitMs).toBeGreaterThan(0);
          continue;
        }
        taken.push({ atMs: nowMs, amount });
        for (const { atMs } of taken) {
          const since = taken.filter((t) => t.atMs >= atMs).reduce((sum, t) => sum + t.amount, 0);
          expect(since).toBeLessThanOrEqual(80 + ((nowMs - atMs) * 50) / 1000 + 1e-6);
        }
      }
    }),
  );
});

test('a device has 50 requests and 500 crossings at once, and others do not suffer', () => {
  const limits = new DeviceLimits();
  expect(limits.waitMs('a', 500, 0)).toBe(0);
  expect(limits.waitMs('a', 1, 0)).toBe(2);
  expect(limits.waitMs('a', 500, 0)).toBe(1_000);
  expect(limits.waitMs('b', 500, 0)).toBe(0);
  expect(limits.waitMs('a', 500, 1_000)).toBe(0);
  for (let i = 0; i < 50; i += 1) expect(limits.waitMs('c', 0, 0)).toBe(0);
  expect(limits.waitMs('c', 0, 0)).toBe(20);
});
