import { renderFragment } from '../../views/html.ts';
import { WallFrame } from '../../views/wall.tsx';
import { Refusal } from '../errors.ts';
import type { Topic } from '../live/renderer.ts';
import type { Meeting } from '../meetings/store.ts';
import { nextChangeUs } from './next-change.ts';
import { wallOf } from './wall-view.ts';
import type { Watches } from './watch.ts';

/** Estimates of the clock follow the clock, also when nothing is pressed. */
const estimateUs = 30_000_000;

/**
 * The wall as a live topic.
 *
 * @param origin scheme and host under which phones reach this server
 */
export function wallTopic(
  watches: Watches,
  club: { id: string; slug: string },
  meeting: Pick<Meeting, 'id' | 'trackId'>,
  origin: string,
): Topic {
  return {
    key: `wall/${club.id}/${meeting.id}/${origin}`,
    track: { clubId: club.id, trackId: meeting.trackId },
    async frame() {
      const now = await watches.now(club.id, meeting.id);
      if (!now) throw new Refusal('notFound');
      const html = renderFragment(WallFrame({ slug: club.slug, origin, now, wall: wallOf(now) }));
      return { html, nextAtUs: nextChangeUs(now) ?? now.nowUs + estimateUs };
    },
  };
}
