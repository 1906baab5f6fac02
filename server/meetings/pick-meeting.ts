/**
 * The meeting that a club means by "tonight": that of today, else the next one to come, else the latest one.
 *
 * @param meetings the latest date first; of two on one day the one made last comes first
 * @param today in the club's zone, `YYYY-MM-DD`
 */
export function pickMeeting<M extends { readonly date: string }>(meetings: readonly M[], today: string): M | null {
  const coming = meetings.filter((one) => one.date > today);
  return meetings.find((one) => one.date === today) ?? coming.at(-1) ?? meetings[0] ?? null;
}
