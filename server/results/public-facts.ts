import type { MeetingFacts } from './meeting-facts.ts';

/**
 * A meeting as strangers may see it: drivers who keep their nickname private under another name, and nobody's name
 * beside what was pressed and ruled. Nothing that is counted changes.
 *
 * @param nameOf the name that stands for a driver's nickname in public; null: the nickname itself
 */
export function publicFacts(facts: MeetingFacts, nameOf: (driverId: string) => string | null): MeetingFacts {
  return {
    ...facts,
    drivers: facts.drivers.map(({ id, nickname }) => ({ id, nickname: nameOf(id) ?? nickname })),
    journal: facts.journal.map(({ heat, fact }) => ({ heat, fact: { ...fact, by: '' } })),
  };
}
