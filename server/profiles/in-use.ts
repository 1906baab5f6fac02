/** What a driver has dialled in, and for what. */
export interface Choice {
  readonly profileId: string;
  readonly version: number;
  /** Null: every lane. */
  readonly lane: number | null;
  /** Null: any track. */
  readonly trackId: string | null;
  /** Null: any car. */
  readonly carId: string | null;
  /** Class of that car; null where it has none. */
  readonly carClassId: string | null;
  readonly chosenAt: Date;
}

/** Where somebody is about to drive. */
export interface Place {
  /** Null where nobody said which car: then every car of the class may be the one. */
  readonly carId: string | null;
  /** Class of the race; null for any. */
  readonly classId: string | null;
  readonly trackId: string;
  /** Null where the lane is not known: then only what is dialled in for every lane counts. */
  readonly lane: number | null;
}

/**
 * Which of a driver's choices is in use at a place: one named for the lane before one for every lane, then one for the
 * track before one for any, then one for the car before one for any, else the one chosen last.
 */
export function choiceInUse<C extends Choice>(choices: readonly C[], place: Place): C | null {
  const fitting = choices.filter((choice) => fits(choice, place));
  return fitting.reduce<C | null>((best, choice) => (best === null || isBefore(choice, best) ? choice : best), null);
}

function fits(choice: Choice, { carId, classId, trackId, lane }: Place): boolean {
  if (choice.lane !== null && choice.lane !== lane) return false;
  if (choice.trackId !== null && choice.trackId !== trackId) return false;
  if (choice.carId === null || choice.carId === carId) return true;
  return carId === null && (classId === null || choice.carClassId === classId);
}

function isBefore(a: Choice, b: Choice): boolean {
  for (const key of ['lane', 'trackId', 'carId'] as const) {
    if ((a[key] === null) !== (b[key] === null)) return a[key] !== null;
  }
  return a.chosenAt > b.chosenAt;
}
