/**
 * The facts of a heat: what sensors said (crossings), what the director pressed (events) and what people decided
 * (rulings). Facts are appended and never changed; everything that is counted is a function of them.
 *
 * Instants: `atUs` are microseconds on the server's scale, `tUs` microseconds on the sensor's own clock (one scale for
 * each device and boot). All numbers are integers below 2^53.
 */

/** Names a crossing: a sensor numbers its crossings from its boot on. */
export type CrossingKey = { readonly device: string; readonly boot: string; readonly seq: number };

/** One trigger of a lane's sensor. `late`: it reached the server after the heat was confirmed. */
export type Crossing = CrossingKey & {
  readonly lane: number;
  readonly tUs: number;
  readonly atUs: number;
  readonly late: boolean;
};

/** Width of a sensor's clock; with 32 bits, differences of `tUs` are taken modulo 2^32. */
export type ClockBits = 32 | 64;

/** The clock width of a device by its id. */
export type ClockBitsOf = (device: string) => ClockBits;

export const eventKinds = ['arm', 'start', 'hold', 'resume', 'stop', 'finish', 'confirm'] as const;
export type EventKind = (typeof eventKinds)[number];

/** What the director pressed. `n` numbers the events and rulings of one heat together, from 1. */
export type HeatEvent = {
  readonly n: number;
  readonly kind: EventKind;
  readonly atUs: number;
  readonly by: string;
};

export const rulingKinds = ['judge', 'move', 'adjust', 'total', 'part', 'retire', 'exclude', 'void', 'undo'] as const;
export type RulingKind = (typeof rulingKinds)[number];

export type LaneTarget = { readonly lane: number };
export type EntryTarget = { readonly entry: string };
/** The heat itself: an empty object. */
export type HeatTarget = Readonly<Record<string, never>>;
/** A ruling of the same heat by its number. */
export type RulingTarget = { readonly n: number };

/** What a ruling decides, about what. */
export type Decision =
  /** 0: the crossing does not count, 1: it counts, k: it counts as k laps (up to 9). */
  | { readonly kind: 'judge'; readonly target: CrossingKey; readonly value: number }
  /** The crossing is treated as one of lane `value`. */
  | { readonly kind: 'move'; readonly target: CrossingKey; readonly value: number }
  /** Hundredths of a lap (*time*) or milliseconds (*laps*) added to a lane's heat score or an entry's race score. */
  | { readonly kind: 'adjust'; readonly target: LaneTarget | EntryTarget; readonly value: number }
  /** The heat as counted by hand: hundredths of a lap (*time*) or milliseconds (*laps*), at least 0. */
  | { readonly kind: 'total'; readonly target: LaneTarget; readonly value: number }
  /** Hundredths of a lap (0 to 99) where the car stopped; *time* heats only. */
  | { readonly kind: 'part'; readonly target: LaneTarget; readonly value: number }
  /** From the ruling's `atUs` on the lane races no more and keeps what it has. */
  | { readonly kind: 'retire'; readonly target: LaneTarget }
  /** Scores nothing in this heat, or is placed last in the race. */
  | { readonly kind: 'exclude'; readonly target: EntryTarget; readonly value: 'heat' | 'race' }
  /** The heat counts for nobody. */
  | { readonly kind: 'void'; readonly target: HeatTarget }
  /** The ruling named does not stand. */
  | { readonly kind: 'undo'; readonly target: RulingTarget };

/** A person's recorded decision: number, what, why, who, when. */
export type Ruling = Decision & {
  readonly n: number;
  readonly why: string;
  readonly by: string;
  readonly atUs: number;
};

/** Everything that is known about one heat. Each list may come in any order. */
export type HeatFacts = {
  readonly events: readonly HeatEvent[];
  readonly rulings: readonly Ruling[];
  readonly crossings: readonly Crossing[];
};

/** What became of a crossing; the rule that decided is explained where it is applied. */
export type Verdict = 'late' | 'idle' | 'ruled out' | 'counts' | 'early' | 'power off' | 'done' | 'bounce';

/** Whether a fact is a ruling (and not an event). */
export function isRuling(fact: HeatEvent | Ruling): fact is Ruling {
  return (rulingKinds as readonly string[]).includes(fact.kind);
}
