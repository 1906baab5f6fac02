import type { Driver, Seat } from './rotation.ts';

/** How often a driver must still run each lane; a lane that is left out is done. */
export interface Need {
  readonly driver: Driver;
  /** Runs still to be driven, by lane number from 1. */
  readonly runs: ReadonlyMap<number, number>;
}

/** The smallest number of heats in which these needs can be run (D. König 1916). */
export function heatsForNeeds(needs: readonly Need[]): number {
  const byLane = new Map<number, number>();
  let most = 0;
  for (const { runs } of needs) {
    let own = 0;
    for (const [lane, count] of runs) {
      own += count;
      byLane.set(lane, (byLane.get(lane) ?? 0) + count);
    }
    most = Math.max(most, own);
  }
  return Math.max(most, ...byLane.values());
}

interface Ride {
  readonly driver: Driver;
  readonly lane: number;
}

/**
 * Draws heats for what is left to run after people came late, went home or heats were run: everybody gets exactly the
 * runs they need, nobody is twice in a heat, and there are as few heats as possible.
 *
 * Rides are the edges of a bipartite multigraph drivers x lanes, heats its colours; a proper colouring with as many
 * colours as the largest degree exists and is found ride by ride, by alternating paths (D. König 1916). The same paths
 * then even out the sizes of heats to within one (D. de Werra 1971). Last, heats are put in an order in which few
 * people drive twice running and whoever waited longest comes first.
 *
 * @param lanes number of lanes of the track
 * @param needs distinct drivers, each with lanes from 1 to `lanes`
 * @param before drivers of the heat that is run last before these
 * @returns one row a heat, one seat a lane
 */
export function drawNeeds(lanes: number, needs: readonly Need[], before: readonly Driver[] = []): Seat[][] {
  const colouring = new Colouring(heatsForNeeds(needs));
  for (const { driver, runs } of needs) {
    for (const [lane, count] of runs) for (let i = 0; i < count; i += 1) colouring.add({ driver, lane });
  }
  colouring.evenOut();
  const heats = colouring.heats().map((rides) => {
    const seats: Seat[] = Array<Seat>(lanes).fill(null);
    for (const { driver, lane } of rides) seats[lane - 1] = driver;
    return seats;
  });
  return inRestingOrder(heats, before);
}

/** Heats as colours of rides: no colour has a driver or a lane twice. */
class Colouring {
  readonly #byDriver: Map<Driver, Ride>[];
  readonly #byLane: Map<number, Ride>[];

  constructor(heats: number) {
    this.#byDriver = Array.from({ length: heats }, () => new Map());
    this.#byLane = Array.from({ length: heats }, () => new Map());
  }

  heats(): Ride[][] {
    return this.#byDriver.map((rides) => [...rides.values()]);
  }

  /** Adds one ride; with as many heats as the largest degree, driver and lane each have a heat free. */
  add(ride: Ride): void {
    const forDriver = this.#byDriver.findIndex((rides) => !rides.has(ride.driver));
    const forLane = this.#byLane.findIndex((rides) => !rides.has(ride.lane));
    const forBoth = this.#byDriver.findIndex((rides, h) => !rides.has(ride.driver) && !this.#byLane[h]?.has(ride.lane));
    if (forBoth >= 0) return this.#put(forBoth, ride);
    // The path of the two heats that begins at the lane never reaches the driver: it would come in by the driver's free
    // heat. After exchanging the heats along it the lane is free where the driver is.
    const inTheWay = this.#byLane[forDriver]?.get(ride.lane) as Ride;
    this.#exchange(this.#path(inTheWay, forDriver, forLane), forDriver, forLane);
    this.#put(forDriver, ride);
  }

  /** Moves rides until no heat has two more than another. */
  evenOut(): void {
    for (;;) {
      const sizes = this.#byDriver.map((rides) => rides.size);
      const large = sizes.indexOf(Math.max(...sizes));
      const small = sizes.indexOf(Math.min(...sizes));
      if (large < 0 || (sizes[large] as number) - (sizes[small] as number) < 2) return;
      // Of the paths and rings that the two heats form, one holds more rides of the larger heat than of the smaller.
      const path = this.#components(large, small).find(
        (rides) => rides.filter((ride) => this.#byDriver[large]?.get(ride.driver) === ride).length * 2 > rides.length,
      ) as Ride[];
      this.#exchange(path, large, small);
    }
  }

  #put(heat: number, ride: Ride): void {
    this.#byDriver[heat]?.set(ride.driver, ride);
    this.#byLane[heat]?.set(ride.lane, ride);
  }

  /** All rides of two heats that hang together with one ride by a driver or a lane. */
  #path(start: Ride, a: number, b: number): Ride[] {
    const found = new Set([start]);
    for (const ride of found) {
      for (const heat of [a, b]) {
        for (const next of [this.#byDriver[heat]?.get(ride.driver), this.#byLane[heat]?.get(ride.lane)]) {
          if (next) found.add(next);
        }
      }
    }
    return [...found];
  }

  #components(a: number, b: number): Ride[][] {
    const seen = new Set<Ride>();
    const components: Ride[][] = [];
    for (const ride of this.#byDriver[a]?.values() ?? []) {
      if (seen.has(ride)) continue;
      const component = this.#path(ride, a, b);
      for (const one of component) seen.add(one);
      components.push(component);
    }
    return components;
  }

  /** Moves each of these rides to the other one of the two heats. */
  #exchange(rides: readonly Ride[], a: number, b: number): void {
    const inA = rides.filter((ride) => this.#byDriver[a]?.get(ride.driver) === ride);
    const inB = rides.filter((ride) => !inA.includes(ride));
    for (const [heat, moved] of [[a, inA] as const, [b, inB] as const]) {
      for (const ride of moved) {
        this.#byDriver[heat]?.delete(ride.driver);
        this.#byLane[heat]?.delete(ride.lane);
      }
    }
    for (const ride of inA) this.#put(b, ride);
    for (const ride of inB) this.#put(a, ride);
  }
}

/** Puts heats in order, always next the one with fewest who just drove; of these the one whose drivers waited longest. */
function inRestingOrder(heats: readonly Seat[][], before: readonly Driver[]): Seat[][] {
  const waiting = [...heats];
  const order: Seat[][] = [];
  const lastRun = new Map<Driver, number>(before.map((driver) => [driver, 0]));
  while (waiting.length > 0) {
    const now = order.length + 1;
    const rated = waiting.map((seats) => {
      const driving = seats.filter((seat) => seat !== null);
      return {
        seats,
        running: driving.filter((driver) => lastRun.get(driver) === now - 1).length,
        waited: driving.reduce<number>((sum, driver) => sum + now - (lastRun.get(driver) ?? 0), 0),
      };
    });
    rated.sort((x, y) => x.running - y.running || y.waited - x.waited);
    const { seats } = rated[0] as (typeof rated)[number];
    waiting.splice(waiting.indexOf(seats), 1);
    for (const driver of seats) if (driver !== null) lastRun.set(driver, now);
    order.push(seats);
  }
  return order;
}
