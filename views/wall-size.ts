/** How large the wall's type must be to be read from the back of the hall. */

/** Millimetres of an inch, by definition. */
const mmPerInch = 25.4;

/** Height of a capital as a share of the type size: 0.672 in both faces, measured from their outlines. */
export const capHeightShare = 0.672;

/** Minutes of arc that a capital should fill: the upper end of the range that ISO 9241-3 prefers (20 to 22). */
const demandedArcMinutes = 22;

/** Screens of a wall are 16 to 9. */
const heightOfDiagonal = 9 / Math.hypot(16, 9);

/** A size that still leaves a screen usable: five words a line at most, twenty lines at least. */
const leastVh = 2;
const mostVh = 20;

/**
 * Type size in percent of the screen's height (`vh`) at which capitals fill 22 minutes of arc: h = 2 d tan(θ/2).
 *
 * @param inches diagonal of the screen
 * @param metres distance of the last row
 * @returns vh with two decimals, between 2 and 20
 * @throws RangeError for what is no positive number
 */
export function wallTypeVh(inches: number, metres: number): number {
  if (!(inches > 0 && metres > 0 && Number.isFinite(inches) && Number.isFinite(metres))) {
    throw new RangeError(`screen and distance must be positive: ${inches} in, ${metres} m`);
  }
  const angle = (demandedArcMinutes / 60) * (Math.PI / 180);
  const capMm = 2 * metres * 1000 * Math.tan(angle / 2);
  const screenMm = inches * mmPerInch * heightOfDiagonal;
  const vh = (capMm / capHeightShare / screenMm) * 100;
  return Math.round(Math.min(mostVh, Math.max(leastVh, vh)) * 100) / 100;
}

/** Beyond this size four lanes leave no room for the next heat, and twelve characters of a name none for its times. */
const mostInRaceVh = 9;

/**
 * The largest type, in `vh`, at which a race of so many lanes fits: 94 vh between the cut edges hold a line of header
 * and for each lane a line and its ribbon.
 */
function fittingVh(lanes: number): number {
  return Math.min(mostInRaceVh, (91.8 - 2 * lanes) / (0.92 * (lanes + 1)));
}

/**
 * The style sheet that sets the wall's size: the answer of `/assets/wall-size.css?in=43&m=5&lanes=4`. Throws as
 * `wallTypeVh`.
 *
 * @param lanes of the track: what is larger than the screen holds would be cut off. Left out: no limit
 */
export function wallSizeCss(inches: number, metres: number, lanes?: number): string {
  const wantedVh = wallTypeVh(inches, metres);
  const vh = lanes === undefined ? wantedVh : Math.min(wantedVh, Math.floor(fittingVh(lanes) * 100) / 100);
  return `:root{--wall-h:${vh}vh}\n`;
}
