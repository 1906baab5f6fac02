/** What is left of a caller's allowance, and since when; see {@link take}. */
export type Bucket = { readonly leftThousandths: number; readonly atMs: number };

/** How much may be taken in a second, and how much at once after a pause. */
export type Allowance = { readonly perSecond: number; readonly atOnce: number };

/**
 * Token bucket: takes `amount` from an allowance that fills up again evenly.
 *
 * @param bucket null for a caller not seen before
 * @param nowMs any clock that never steps back
 * @returns the bucket afterwards, and how long to wait when there is not enough (nothing is taken then); 0 when there is
 */
export function take(
  bucket: Bucket | null,
  allowance: Allowance,
  amount: number,
  nowMs: number,
): { bucket: Bucket; waitMs: number } {
  const { perSecond, atOnce } = allowance;
  const full = atOnce * 1000;
  // A second brings `perSecond`, so a millisecond brings as many thousandths.
  const left = bucket ? Math.min(full, bucket.leftThousandths + (nowMs - bucket.atMs) * perSecond) : full;
  const missing = amount * 1000 - left;
  if (missing <= 0) return { bucket: { leftThousandths: -missing, atMs: nowMs }, waitMs: 0 };
  return { bucket: { leftThousandths: left, atMs: nowMs }, waitMs: Math.ceil(missing / perSecond) };
}
