/** A motor and the car around it, in SI units. */
export interface CarMotor {
  /** Winding resistance. */
  readonly rOhm: number;
  /** Winding inductance in millihenry. */
  readonly lMh: number;
  /** Back EMF constant in V s/rad; the torque constant in N m/A is the same number. */
  readonly keVs: number;
  /** Rotor inertia, kg m2. */
  readonly jm: number;
  /** Viscous friction, N m s/rad. */
  readonly b: number;
  /** Dry friction, N m. */
  readonly tf: number;
  /** Track voltage. */
  readonly vs: number;
  /** Mass of the car in kg. */
  readonly mKg: number;
  /** Radius of the driven wheels in m. */
  readonly rM: number;
  /** Gear ratio: motor turns a wheel turn. */
  readonly gear: number;
  /** Grip of the tyres: sideways or lengthwise force over load. */
  readonly mu: number;
  /** Downforce of a magnet, N. */
  readonly fMagN: number;
  /** Rolling resistance over load. */
  readonly crr: number;
  /** Share of the weight on the driven wheels. */
  readonly rear: number;
  /** Grip that is left when sliding, as a share. */
  readonly rho: number;
  /** Resistance of leads and track, ohm. */
  readonly wiringOhm: number;
}

export type PresetName = 'mild' | 'club' | 'strong';

const common = { fMagN: 0, crr: 0.03, rear: 0.6, rho: 0.7, wiringOhm: 0 } as const;

/** Orders of magnitude only, from memory, until somebody measures the motor at hand. */
export const presets: Readonly<Record<PresetName, CarMotor>> = {
  mild: {
    rOhm: 4.0,
    lMh: 1.0,
    keVs: 5.7e-3,
    jm: 0.7e-7,
    b: 2e-8,
    tf: 4e-4,
    vs: 12,
    mKg: 0.085,
    rM: 0.01,
    gear: 3.0,
    mu: 0.8,
    ...common,
  },
  club: {
    rOhm: 0.6,
    lMh: 0.12,
    keVs: 2.8e-3,
    jm: 1.2e-7,
    b: 3e-8,
    tf: 8e-4,
    vs: 12.5,
    mKg: 0.11,
    rM: 0.0102,
    gear: 3.6,
    mu: 1.0,
    ...common,
  },
  strong: {
    rOhm: 0.18,
    lMh: 0.025,
    keVs: 1.75e-3,
    jm: 1.0e-7,
    b: 4e-8,
    tf: 1.2e-3,
    vs: 13.5,
    mKg: 0.085,
    rM: 0.0102,
    gear: 4.5,
    mu: 1.2,
    ...common,
  },
};
