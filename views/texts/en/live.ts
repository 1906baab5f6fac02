/** What pages say about their connection. */
export const live = {
  /** Without scripts a page is right at the moment it was loaded. */
  still: 'This page shows how things stood when it was loaded. Load it again to see what is new.',
  live: 'Live',
  /** `{n}` stands for the seconds. */
  late: 'Reconnecting, last update {n} s ago',
  ended: 'Updates have ended. Load the page again, or sign in again.',
} as const;
