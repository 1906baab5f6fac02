import type { ClockBits, Crossing } from '../heats/facts.ts';
import type { Random } from '../shared/random.ts';

/** A car went over a lane's sensor at an instant of the server's scale, in microseconds. */
export type LineCrossing = { readonly lane: number; readonly atUs: number };

/** What was reported, and which cars were not. */
export type Sensed = { readonly crossings: readonly Crossing[]; readonly missed: readonly LineCrossing[] };

export type SensorPlan = {
  readonly id: string;
  readonly bits: ClockBits;
  readonly boot: string;
  /** Number of the next crossing that it reports. */
  readonly fromSeq: number;
  /** Instant at which it was switched on. */
  readonly bootedUs: number;
  /** How much its clock runs fast, in parts of a million. */
  readonly fastPpm: number;
  /** It misses one crossing of a lane in so many. */
  readonly missesOneIn: (lane: number) => number;
};

/** A healthy sensor triggers twice one time in so many. */
const doubleOneIn = 140;
/** How late the network makes a crossing look, at most. */
const jitterUs = 400;

/**
 * What a sensor reports of the cars that went over it: nearly all, some of them twice. Figures are common practice in
 * the hobby, no source: contact bounce after 1 to 30 ms, the car's tail after 20 to 80 ms.
 */
export function sense(random: Random, sensor: SensorPlan, cars: readonly LineCrossing[]): Sensed {
  const missed: LineCrossing[] = [];
  const triggers = cars.flatMap((car): LineCrossing[] => {
    if (random.unit() < 1 / sensor.missesOneIn(car.lane)) {
      missed.push(car);
      return [];
    }
    if (random.unit() >= 1 / doubleOneIn) return [car];
    const afterUs = random.unit() < 0.5 ? 1_000 + 29_000 * random.unit() : 20_000 + 60_000 * random.unit();
    return [car, { lane: car.lane, atUs: car.atUs + Math.round(afterUs) }];
  });
  triggers.sort((a, b) => a.atUs - b.atUs || a.lane - b.lane);
  const crossings = triggers.map(({ lane, atUs }, i) => ({
    device: sensor.id,
    boot: sensor.boot,
    seq: sensor.fromSeq + i,
    lane,
    tUs: clockAt(sensor, atUs),
    atUs: atUs + Math.floor(jitterUs * random.unit()),
    late: false,
  }));
  return { crossings, missed };
}

/** What the sensor's own clock shows. */
function clockAt({ bits, bootedUs, fastPpm }: SensorPlan, atUs: number): number {
  const sinceUs = atUs - bootedUs;
  const tUs = sinceUs + Math.round((sinceUs * fastPpm) / 1e6);
  return bits === 32 ? tUs % 2 ** 32 : tUs;
}
