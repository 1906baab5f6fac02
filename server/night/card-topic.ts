import { CardFrame } from '../../views/card.tsx';
import { renderFragment } from '../../views/html.ts';
import { Refusal } from '../errors.ts';
import type { Topic } from '../live/renderer.ts';
import type { Entry, Meeting } from '../meetings/store.ts';
import { type Card, cardOf } from './card-view.ts';
import { type DialIn, dialInOf } from './dial-in.ts';
import type { MeetingNow } from './meeting-now.ts';
import { nextChangeUs } from './next-change.ts';
import type { Watches } from './watch.ts';

/** Estimates of the clock follow the clock, also when nothing is pressed. */
const estimateUs = 30_000_000;

/** Whose card, and who reads it. */
export type CardReader = {
  driverId: string;
  own: boolean;
  /** Sees the driver's controller profiles: the driver, and the director. */
  keeps: boolean;
};

/** The entries of a driver in the meeting. */
export function entriesOf(now: MeetingNow, driverId: string): Entry[] {
  return [...now.entries.values()].filter((entry) => entry.driverId === driverId);
}

/** What a card says to those who may see it. */
export function dialInFor(
  driverId: string,
  now: MeetingNow,
  card: Card,
): { driverId: string; dialIn: DialIn | 'none' | null } {
  return { driverId, dialIn: dialInOf(now, card) };
}

/** A driver's card as a live topic. */
export function cardTopic(
  watches: Watches,
  club: { id: string; slug: string },
  meeting: Pick<Meeting, 'id' | 'trackId'>,
  { driverId, own, keeps }: CardReader,
): Topic {
  return {
    key: `card/${club.id}/${meeting.id}/${driverId}/${own}/${keeps}`,
    track: { clubId: club.id, trackId: meeting.trackId },
    async frame() {
      const now = await watches.now(club.id, meeting.id);
      if (!now) throw new Refusal('notFound');
      const card = cardOf(now, entriesOf(now, driverId));
      const html = renderFragment(
        CardFrame({ slug: club.slug, now, card, own, dialIn: keeps ? dialInFor(driverId, now, card) : null }),
      );
      return { html, nextAtUs: nextChangeUs(now) ?? now.nowUs + estimateUs };
    },
  };
}
