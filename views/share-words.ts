import { shortDate } from './format.ts';

/** A day of the calendar, `YYYY-MM-DD`, in words. */
export function dayWords(day: string, lang: string): string {
  return shortDate(new Date(`${day}T12:00:00Z`), { zone: 'UTC', locale: lang });
}
