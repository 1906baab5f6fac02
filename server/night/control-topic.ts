import { ControlFrame } from '../../views/control.tsx';
import { renderFragment } from '../../views/html.ts';
import type { Topic } from '../live/renderer.ts';
import type { Meeting } from '../meetings/store.ts';
import { deskOf } from './control-view.ts';
import { nextChangeUs } from './next-change.ts';
import type { Watches } from './watch.ts';

/**
 * Race control as a live topic: one board for directors' screens, and one for timekeepers', which tells no chances.
 */
export function controlTopic(
  watches: Watches,
  club: { id: string; slug: string },
  meeting: Meeting,
  forDirectors: boolean,
): Topic {
  return {
    key: `control/${club.id}/${meeting.id}${forDirectors ? '/chances' : ''}`,
    track: { clubId: club.id, trackId: meeting.trackId },
    async frame() {
      const now = await watches.now(club.id, meeting.id);
      if (!now) return { html: '', nextAtUs: null };
      const html = renderFragment(ControlFrame({ slug: club.slug, now, desk: deskOf(now, forDirectors) }));
      return { html, nextAtUs: nextChangeUs(now) };
    },
  };
}
