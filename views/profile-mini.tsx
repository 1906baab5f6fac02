import type { PicturesData } from '../server/profiles/pictures.ts';
import { PlotSquare } from './components/plot.tsx';
import { BrakeLines, ReleaseBars } from './profile-brake.tsx';
import { ThrottleLines } from './profile-throttle.tsx';

/**
 * Throttle and brake once more, small, staying in sight above the sliders of a phone, where the large pictures are out
 * of it. They say nothing of their own.
 */
export function MiniPictures({ data }: { data: PicturesData }) {
  return (
    <div class="mini-pictures" id="mini-pictures" aria-hidden="true">
      <svg class="plot-drawing" focusable="false">
        <PlotSquare>
          <ThrottleLines data={data} />
        </PlotSquare>
      </svg>
      <svg class="plot-drawing" focusable="false">
        <PlotSquare>
          <BrakeLines data={data} direction="closing" />
        </PlotSquare>
        <ReleaseBars data={data} direction="closing" />
      </svg>
    </div>
  );
}
