/** What is left of a caller's allowance, and since when; see {@link take}. */
export type Bucket = { readonly left: number; readonly atMs: number };

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
  const left = bucket ? Math.min(atOnce, bucket.left + ((nowMs - bucket.atMs) * perSecond) / 1000) : atOnce;
  if (left >= amount) return { bucket: { left: left - amount, atMs: nowMs }, waitMs: 0 };
  return { bucket: { left, atMs: nowMs }, waitMs: Math.ceil(((amount - left) * 1000) / perSecond) };
}
