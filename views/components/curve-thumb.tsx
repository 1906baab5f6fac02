import { percentOf, type ThumbData, throttlePath } from '../profile-throttle.tsx';
import { profilePictures as t } from '../texts/en/profile-pictures.ts';

/** A throttle curve the size of a word, for lists. */
export function CurveThumb({ picture }: { picture: ThumbData }) {
  return (
    <svg
      class="curve-thumb"
      viewBox="0 0 1000 1000"
      preserveAspectRatio="none"
      role="img"
      aria-label={t.thumb(percentOf(picture.minDrive), percentOf(picture.maxDrive))}
    >
      <path class="plot-line plot-own" d={throttlePath(picture)} vector-effect="non-scaling-stroke" />
    </svg>
  );
}
