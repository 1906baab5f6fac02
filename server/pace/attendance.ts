/** Nights each driver attended, in order, also those whose heats are not used for pace. */
export type Attendance = ReadonlyMap<string, readonly number[]>;

/** Collects who was there on which nights. */
export class AttendanceBook {
  readonly #nights = new Map<string, Set<number>>();
  #driver: string | null = null;
  #night = Number.NaN;

  add({ driver, night }: { readonly driver: string; readonly night: number }): void {
    // Laps of one heat follow each other.
    if ((driver === this.#driver && night === this.#night) || !Number.isFinite(night)) return;
    [this.#driver, this.#night] = [driver, night];
    const own = this.#nights.get(driver);
    if (own) own.add(night);
    else this.#nights.set(driver, new Set([night]));
  }

  attendance(): Attendance {
    return new Map([...this.#nights].map(([driver, own]) => [driver, [...own].sort((a, b) => a - b)]));
  }
}

export function attendanceOf(rows: Iterable<{ readonly driver: string; readonly night: number }>): Attendance {
  const book = new AttendanceBook();
  for (const row of rows) book.add(row);
  return book.attendance();
}
