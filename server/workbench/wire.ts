/** Copper of a round wire. */
export interface Wire {
  /** Of a solid wire with this much copper. */
  readonly diameterMm: number;
  readonly areaMm2: number;
}

/** Solid copper; a stranded wire of the same gauge has a few percent more resistance (from memory). */
export function wireOfGauge(awg: number): Wire {
  // ASTM B258: 39 steps from 0.46 inch (0000) to 0.005 inch (36), each the same ratio.
  const diameterMm = 0.127 * 92 ** ((36 - awg) / 39);
  return { diameterMm, areaMm2: (Math.PI * diameterMm ** 2) / 4 };
}

export const wireOfArea = (areaMm2: number): Wire => ({ areaMm2, diameterMm: 2 * Math.sqrt(areaMm2 / Math.PI) });

/** Annealed copper at 20 °C in ohm metres (IACS, NBS Handbook 100), and what a kelvin adds. */
const resistivity = 1.724e-8;
const perKelvin = 0.00393;
/** Copper: kg/m3 and J/(kg K). */
const density = 8890;
const specificHeat = 385;

/** Resistance of one conductor in ohm per metre. */
export function ohmPerMetre({ areaMm2 }: Wire, celsius: number): number {
  return (resistivity / (areaMm2 * 1e-6)) * (1 + perKelvin * (celsius - 20));
}

/** Heat of one conductor in watt per metre. */
export const wattPerMetre = (wire: Wire, amperes: number, celsius: number) => amperes ** 2 * ohmPerMetre(wire, celsius);

/** How quickly a conductor warms as long as no heat leaves it, in kelvin a second. */
export function kelvinPerSecond(wire: Wire, amperes: number, celsius: number): number {
  return wattPerMetre(wire, amperes, celsius) / (wire.areaMm2 * 1e-6 * density * specificHeat);
}

/** Heat that leaves a square metre of surface for each kelvin, W/(m2 K): from memory, and by half wrong either way. */
const surfaceCooling = 10;
export const estimateSpread = 0.5;

/**
 * Estimate of how much warmer than its surroundings one free conductor gets for good, in kelvin. Bundles, covers and warm
 * insulation make it more. Never a permission.
 */
export function steadyRiseK(wire: Wire, amperes: number, celsius: number): number {
  return wattPerMetre(wire, amperes, celsius) / (surfaceCooling * Math.PI * wire.diameterMm * 1e-3);
}
