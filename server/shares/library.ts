import type { PresetName } from '../profiles/motor/motor.ts';
import { motorKind } from './motor-kind.ts';
import type { LibraryEntry } from './store.ts';

/** What is asked of the library; an empty text asks for nothing. */
export interface LibraryAsk {
  readonly car: string;
  readonly class: string;
  readonly motor: string;
  readonly sort: 'effect' | 'name' | 'day';
  /** From 1. */
  readonly page: number;
}

/** An entry with what its motor is like and what was measured of it. */
export type Listed<E> = E & { readonly kind: PresetName | null; readonly effect: number };

/** Entries on one page. */
const pageLength = 50;

/** What can be chosen: everything that stands in the library, in the order of the alphabet. */
export interface LibraryChoices {
  readonly cars: readonly string[];
  readonly classes: readonly string[];
  readonly motors: readonly PresetName[];
}

type Sorted = Pick<LibraryEntry, 'id' | 'setup' | 'carName' | 'className' | 'sharedOn' | 'motor'>;

export const kindOf = ({ motor }: Pick<LibraryEntry, 'motor'>): PresetName | null => motor && motorKind(motor);

export function choicesOf(entries: readonly Sorted[]): LibraryChoices {
  const all = <T extends string>(of: (entry: Sorted) => T | null): T[] => {
    const values = entries.map(of).filter((value) => value !== null);
    return [...new Set(values)].sort((a, b) => a.localeCompare(b, 'en'));
  };
  return { cars: all(({ carName }) => carName), classes: all(({ className }) => className), motors: all(kindOf) };
}

/** The entries that fit, in any order. */
export function fitting<E extends Sorted>(entries: readonly E[], ask: LibraryAsk): E[] {
  return entries.filter(
    (entry) =>
      (ask.car === '' || entry.carName === ask.car) &&
      (ask.class === '' || entry.className === ask.class) &&
      (ask.motor === '' || kindOf(entry) === ask.motor),
  );
}

/**
 * One page of them in the order that was asked for; equals by name.
 *
 * @param effectOf what was measured of an entry: the larger, the more it helped at the least
 */
export function libraryPage<E extends Sorted>(
  entries: readonly E[],
  ask: LibraryAsk,
  effectOf: (entry: E) => number,
): { entries: Listed<E>[]; page: number; pages: number } {
  const listed = entries.map((entry): Listed<E> => ({ ...entry, kind: kindOf(entry), effect: effectOf(entry) }));
  const byName = (a: Listed<E>, b: Listed<E>) =>
    a.setup.name.localeCompare(b.setup.name, 'en') || (a.id < b.id ? -1 : 1);
  const orders = {
    effect: (a: Listed<E>, b: Listed<E>) => b.effect - a.effect || byName(a, b),
    name: byName,
    day: (a: Listed<E>, b: Listed<E>) => b.sharedOn.localeCompare(a.sharedOn) || byName(a, b),
  };
  const pages = Math.max(1, Math.ceil(listed.length / pageLength));
  const page = Math.min(ask.page, pages);
  const from = (page - 1) * pageLength;
  return { entries: listed.sort(orders[ask.sort]).slice(from, from + pageLength), page, pages };
}
