/** Readings that a unit sends in parts, each of which may come late, twice or not at all. */

/** A part: readings from number `seq` on, the first of the trace being number 0. */
export interface TracePart {
  readonly bits: number;
  readonly restSamples: number;
  readonly seq: number;
  readonly counts: readonly number[];
  /** Nothing comes after it. */
  readonly last: boolean;
}

/** What is kept of the trace so far. */
export interface TraceSoFar {
  readonly bits: number;
  readonly restSamples: number;
  readonly counts: readonly number[];
  readonly complete: boolean;
}

export type PartFate =
  /** What is new of it, and whether the trace is complete with it. Nothing new: it came before. */
  | { readonly kind: 'more'; readonly counts: readonly number[]; readonly complete: boolean }
  /** Readings before it are missing: it is to go on from number `next`. */
  | { readonly kind: 'gap'; readonly next: number }
  /** It says something else than an earlier part under the same numbers. */
  | { readonly kind: 'changed' }
  /** The trace was complete without it. */
  | { readonly kind: 'ended' }
  /** The trace would hold more readings than any check needs. */
  | { readonly kind: 'full' };

/** Readings that a trace may hold; three strokes at 1000 a second are fewer. */
export const mostReadings = 20_000;

/** @param sofar null where nothing of the trace is there yet */
export function continueTrace(sofar: TraceSoFar | null, part: TracePart): PartFate {
  const known = sofar?.counts ?? [];
  if (sofar && (sofar.bits !== part.bits || sofar.restSamples !== part.restSamples)) return { kind: 'changed' };
  if (part.seq > known.length) return { kind: 'gap', next: known.length };
  const isSame = part.counts.every((count, i) => {
    const before = known[part.seq + i];
    return before === undefined || before === count;
  });
  if (!isSame) return { kind: 'changed' };
  const counts = part.counts.slice(known.length - part.seq);
  if (sofar?.complete && counts.length > 0) return { kind: 'ended' };
  if (known.length + counts.length > mostReadings) return { kind: 'full' };
  return { kind: 'more', counts, complete: part.last || (sofar?.complete ?? false) };
}
