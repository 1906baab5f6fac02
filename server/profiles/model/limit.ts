import { leastDriveSpan, type Tuning } from './profile.ts';

/**
 * The profile as it may be driven under a race limit: maximum drive is held at the limit, and minimum drive falls where
 * it would not stay {@link leastDriveSpan} below. Nothing is ever raised; the profile itself is given back where the
 * limit changes nothing.
 *
 * @param limitPermille 100..1000; null for a race without a limit
 */
export function underLimit<T extends Pick<Tuning, 'minDrive' | 'maxDrive'>>(
  profile: T,
  limitPermille: number | null,
): T {
  if (limitPermille === null || profile.maxDrive <= limitPermille) return profile;
  return {
    ...profile,
    maxDrive: limitPermille,
    minDrive: Math.min(profile.minDrive, limitPermille - leastDriveSpan),
  };
}
