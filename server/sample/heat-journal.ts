import { type Decision, type EventKind, type HeatEvent, isRuling, type Ruling } from '../heats/facts.ts';

/** The events and rulings of one heat as one person makes them, numbered from 1 in the order of making. */
export class HeatJournal {
  readonly #by: string;
  readonly #facts: (HeatEvent | Ruling)[] = [];

  constructor(by: string) {
    this.#by = by;
  }

  event(kind: EventKind, atUs: number): void {
    this.#facts.push({ n: this.#facts.length + 1, kind, atUs, by: this.#by });
  }

  /** @returns the ruling's number */
  ruling(decision: Decision, why: string, atUs: number): number {
    const n = this.#facts.length + 1;
    this.#facts.push({ ...decision, n, why, by: this.#by, atUs });
    return n;
  }

  facts(): readonly (HeatEvent | Ruling)[] {
    return this.#facts;
  }

  events(): HeatEvent[] {
    return this.#facts.filter((fact) => !isRuling(fact));
  }
}
