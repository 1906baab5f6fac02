/** Counts tries by source, so that nobody can try for ever. Kept in memory: a restart forgets, and nothing is lost. */
export type Tries = {
  /** Whether the source has used up its tries. */
  spent(source: string, nowUs: number): boolean;
  note(source: string, nowUs: number): void;
};

/** Sources remembered at once; beyond that the oldest are forgotten, so that a flood cannot fill the memory. */
const mostSources = 10_000;

/**
 * @param limit tries allowed in any stretch of `windowUs`
 * @param windowUs in microseconds
 */
export function countTries(limit: number, windowUs: number): Tries {
  const tries = new Map<string, number[]>();
  const recent = (source: string, nowUs: number) => (tries.get(source) ?? []).filter((atUs) => nowUs - atUs < windowUs);
  return {
    spent: (source, nowUs) => recent(source, nowUs).length >= limit,
    note(source, nowUs) {
      const list = [...recent(source, nowUs), nowUs];
      tries.delete(source);
      tries.set(source, list);
      const oldest = tries.keys().next();
      if (tries.size > mostSources && !oldest.done) tries.delete(oldest.value);
    },
  };
}
