import type { Crossing, CrossingKey, HeatEvent, Ruling } from '../heats/facts.ts';
import type { HeatPlan } from '../heats/plan.ts';
import { checkRuling } from '../heats/ruling-checks.ts';
import { standingRulings } from '../heats/standing-rulings.ts';
import type { JournalLine } from '../results/meeting-facts.ts';
import { type Arming, armingsInOrder, heatAt } from '../results/windows.ts';
import { LineError } from './refusal.ts';

/** A heat and how far its journal has come. */
type OpenHeat = {
  readonly plan: HeatPlan;
  readonly rulings: Ruling[];
  /** Number of its events and rulings. */
  count: number;
  lastEventUs: number;
  /** The line of the event that started it. */
  startLine: number | null;
};

/** What a ruling may name outside the journal. */
export type JournalContext = {
  readonly crossing: (key: CrossingKey) => Crossing | undefined;
  readonly raceOfEntry: (entry: string) => string | undefined;
};

/** Puts the events and rulings of a meeting together, in the order in which they were written. */
export class JournalBuilder {
  readonly lines: JournalLine[] = [];
  readonly #heats = new Map<string, OpenHeat>();
  readonly #context: JournalContext;
  #armings: Arming[] = [];

  constructor(context: JournalContext) {
    this.#context = context;
  }

  /** Opens the journal of a heat. */
  open(plan: HeatPlan): void {
    this.#heats.set(plan.heat, { plan, rulings: [], count: 0, lastEventUs: -Infinity, startLine: null });
  }

  /** @throws LineError */
  addEvent(heat: string, event: HeatEvent, line: number): void {
    const open = this.#append(heat, event);
    if (event.atUs < open.lastEventUs) throw new LineError('instants-fall');
    open.lastEventUs = event.atUs;
    if (event.kind === 'start') open.startLine ??= line;
    if (event.kind === 'arm') this.#armings = armingsInOrder([...this.#armings, { heat, atUs: event.atUs }]);
  }

  /** @throws LineError */
  addRuling(heat: string, ruling: Ruling): void {
    const { plan, rulings } = this.#append(heat, ruling);
    const refusal = checkRuling(ruling, {
      plan,
      hasCrossing: (key) => this.#heatOf(this.#context.crossing(key)) === heat,
      isEntryOfRace: (entry) => this.#context.raceOfEntry(entry) === plan.race,
      isRuling: (n) => rulings.some((earlier) => earlier.n === n),
    });
    if (refusal !== null) throw new LineError(refusal);
    rulings.push(ruling);
  }

  /**
   * The line of the first start that is one too many: the entry had as many started heats that are not void, as the
   * log ends, as its race allows.
   *
   * @param heatsPerEntry of a race by id; null: as many as wanted
   */
  startTooMany(heatsPerEntry: (race: string) => number | null): { line: number; entry: string } | null {
    const started = [...this.#heats.values()]
      .flatMap(({ plan, rulings, startLine }) =>
        startLine === null || standingRulings(rulings).voided ? [] : [{ plan, startLine }],
      )
      .sort((a, b) => a.startLine - b.startLine);
    const counts = new Map<string, number>();
    for (const { plan, startLine } of started) {
      const most = heatsPerEntry(plan.race);
      for (const { entry } of plan.lanes) {
        if (entry === null) continue;
        const count = (counts.get(entry) ?? 0) + 1;
        if (most !== null && count > most) return { line: startLine, entry };
        counts.set(entry, count);
      }
    }
    return null;
  }

  /** Events and rulings of one heat are numbered together, from 1 and without gaps. */
  #append(heat: string, fact: HeatEvent | Ruling): OpenHeat {
    const open = this.#heats.get(heat);
    if (open === undefined) throw new LineError('no-such-heat', heat);
    if (fact.n !== open.count + 1) throw new LineError('number-out-of-turn', fact.n);
    open.count = fact.n;
    this.lines.push({ heat, fact });
    return open;
  }

  #heatOf(crossing: Crossing | undefined): string | null {
    return crossing === undefined ? null : heatAt(this.#armings, crossing.atUs);
  }
}
