/**
 * Heats of one night as seats of small numbers, with both ways to look things up. Every heat is a matching of drivers
 * and lanes: nobody is twice in a heat, no lane holds two.
 */
export class NightHeats {
  /** Drivers. */
  readonly drivers: number;
  /** Lanes in use. */
  readonly lanes: number;
  /** All heats of the night, those run included. */
  readonly heats: number;
  /** seats[heat * lanes + lane]: driver or -1. */
  readonly seats: Int16Array;
  /** laneAt[driver * heats + heat]: the driver's lane, -1 where they sit out, `lanes` where they ran on a lane that is
   * out of use now. */
  readonly laneAt: Int8Array;
  /** Cars in each heat. */
  readonly sizes: Int16Array;

  constructor(drivers: number, lanes: number, heats: number) {
    this.drivers = drivers;
    this.lanes = lanes;
    this.heats = heats;
    this.seats = new Int16Array(heats * lanes).fill(-1);
    this.laneAt = new Int8Array(drivers * heats).fill(-1);
    this.sizes = new Int16Array(heats);
  }

  seat(heat: number, lane: number): number {
    return this.seats[heat * this.lanes + lane] as number;
  }

  laneOf(driver: number, heat: number): number {
    return this.laneAt[driver * this.heats + heat] as number;
  }

  /** Puts a driver on an empty lane, or (lane = `lanes`) on one that is out of use now. */
  put(heat: number, lane: number, driver: number): void {
    if (lane < this.lanes) this.seats[heat * this.lanes + lane] = driver;
    this.laneAt[driver * this.heats + heat] = lane;
    this.sizes[heat] = (this.sizes[heat] as number) + 1;
  }

  /**
   * The lanes to swap between two heats so that both stay legal: the lane given, the other lane of whoever would be
   * twice in a heat, and so on. These lanes are one path or ring of the two matchings; at most one driver changes heats
   * in each direction, and nobody's lane counts change.
   *
   * @returns bits of lanes
   */
  chain(a: number, b: number, lane: number): number {
    let bits = 1 << lane;
    for (let step = this.seat(a, lane); step >= 0; ) {
      const next = this.laneOf(step, b);
      if (next < 0 || (bits >> next) & 1) break;
      bits |= 1 << next;
      step = this.seat(a, next);
    }
    for (let step = this.seat(b, lane); step >= 0; ) {
      const next = this.laneOf(step, a);
      if (next < 0 || (bits >> next) & 1) break;
      bits |= 1 << next;
      step = this.seat(b, next);
    }
    return bits;
  }

  /** Drivers that the lanes of a chain hold in heat a beyond those they hold in heat b: -1, 0 or 1. */
  surplus(a: number, b: number, bits: number): number {
    let more = 0;
    for (let lane = 0; lane < this.lanes; lane += 1) {
      if (((bits >> lane) & 1) === 0) continue;
      more += (this.seat(a, lane) >= 0 ? 1 : 0) - (this.seat(b, lane) >= 0 ? 1 : 0);
    }
    return more;
  }

  /** Swaps these lanes between two heats; its own inverse. */
  swap(a: number, b: number, bits: number): void {
    const { lanes, heats, seats, laneAt, sizes } = this;
    for (let lane = 0; lane < lanes; lane += 1) {
      if (((bits >> lane) & 1) === 0) continue;
      const x = seats[a * lanes + lane] as number;
      const y = seats[b * lanes + lane] as number;
      if (x >= 0) laneAt[x * heats + a] = -1;
      if (y >= 0) laneAt[y * heats + b] = -1;
      seats[a * lanes + lane] = y;
      seats[b * lanes + lane] = x;
      const moved = (x >= 0 ? 1 : 0) - (y >= 0 ? 1 : 0);
      sizes[a] = (sizes[a] as number) - moved;
      sizes[b] = (sizes[b] as number) + moved;
    }
    // Marked after all were taken away: a driver may leave one of these lanes and come to another one.
    for (let lane = 0; lane < lanes; lane += 1) {
      if (((bits >> lane) & 1) === 0) continue;
      const x = seats[a * lanes + lane] as number;
      const y = seats[b * lanes + lane] as number;
      if (x >= 0) laneAt[x * heats + a] = lane;
      if (y >= 0) laneAt[y * heats + b] = lane;
    }
  }

  /** Swaps two lanes within a heat; its own inverse. */
  swapLanes(heat: number, one: number, other: number): void {
    const x = this.seat(heat, one);
    const y = this.seat(heat, other);
    this.seats[heat * this.lanes + one] = y;
    this.seats[heat * this.lanes + other] = x;
    if (x >= 0) this.laneAt[x * this.heats + heat] = other;
    if (y >= 0) this.laneAt[y * this.heats + heat] = one;
  }
}
