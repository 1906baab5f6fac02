import { type Random, randomFrom } from '../../server/shared/random.ts';

/** What a trigger does during a check, before the sensor reads it. */
export interface Strokes {
  readonly bits: number;
  /** Counts at rest, on the sensor's circle. */
  readonly rest: number;
  /** Counts from end to end; negative where pressing makes the count fall. */
  readonly travel: number;
  readonly restSamples: number;
  /** Standard deviation of a reading, in counts. */
  readonly noise?: number;
  /** Single readings that are wrong by anything. */
  readonly spikes?: number;
  readonly seed?: number;
  /** Readings a second, in hundreds. */
  readonly rate?: number;
}

/** At 100 readings a second: the pressed end is held for half a second, as the page asks. */
const samples = { movement: 30, hold: 50, pause: 12 };

/** Readings of hands off, three full strokes that hold the pressed end, hands off. */
export function readingsOf({ bits, rest, travel, restSamples, noise = 0, spikes = 0, seed = 1, rate = 1 }: Strokes) {
  const turn = 2 ** bits;
  const random = randomFrom(seed);
  const path: number[] = Array(restSamples).fill(0);
  const move = (from: number, to: number) => {
    for (let i = 1; i <= rate * samples.movement; i++) {
      const eased = (1 - Math.cos((Math.PI * i) / (rate * samples.movement))) / 2;
      path.push(from + (to - from) * eased);
    }
  };
  for (let stroke = 0; stroke < 3; stroke++) {
    move(0, 1);
    path.push(...Array(rate * samples.hold).fill(1));
    move(1, 0);
    path.push(...Array(rate * samples.pause).fill(0));
  }
  path.push(...Array(restSamples).fill(0));
  const counts = path.map((x) => {
    const count = Math.round(rest + travel * x + noise * random.normal());
    return ((count % turn) + turn) % turn;
  });
  for (const at of spikePlaces(random, counts.length, spikes)) counts[at] = below(random, turn);
  return { bits, restSamples, counts };
}

const below = (random: Random, limit: number) => Math.floor(limit * random.unit());

/** Far enough from each other that each is a single wrong reading. */
function spikePlaces(random: Random, length: number, spikes: number): number[] {
  const places: number[] = [];
  while (places.length < spikes) {
    const at = 5 + below(random, length - 10);
    if (places.every((other) => Math.abs(other - at) > 5)) places.push(at);
  }
  return places;
}
