/** The server's time scale: Unix microseconds at one anchor plus the monotonic clock since. */
export type Clock = {
  /** Now, in microseconds on the server's scale. Never steps, also when the wall clock does. */
  nowUs(): number;
};

/** Where a scale begins: a reading of the machine's monotonic clock and the wall time it stands for. */
export type Anchor = { monotonicUs: number; wallUs: number };

/** The machine's monotonic clock, in microseconds. */
export function monotonicUs(): number {
  return Number(process.hrtime.bigint() / 1000n);
}

/** The clock of a running server. */
export function systemClock(anchor: Anchor): Clock {
  return { nowUs: () => anchor.wallUs + (monotonicUs() - anchor.monotonicUs) };
}

/** A clock that tests move by hand. */
export function fixedClock(startUs = 1_800_000_000_000_000): Clock & { advance(us: number): void } {
  let now = startUs;
  return {
    nowUs: () => now,
    advance(us) {
      now += us;
    },
  };
}
