/**
 * What somebody says of a track's wiring. Every value may be missing (null): nothing is assumed in its place, and a check
 * that needs it cannot say that all is well.
 */
export interface BenchInputs {
  /** Highest voltage of the supply. */
  readonly voltageV: number | null;
  /** What the supply gives for long. */
  readonly supplyA: number | null;
  /** Whether it takes current back. */
  readonly supplyCanSink: boolean | null;
  /** Lanes on this supply. */
  readonly lanes: number | null;
  /** Wire as a gauge (American Wire Gauge), or */
  readonly awg: number | null;
  /** by its copper. Where both are given they have to be of one wire. */
  readonly areaMm2: number | null;
  /** One way: current goes there and back. */
  readonly lengthM: number | null;
  /** Current that flows for long. */
  readonly currentA: number | null;
  /** Around the wire. */
  readonly ambientC: number | null;
  /** What the wire's insulation stands. */
  readonly insulationC: number | null;
  readonly fuseA: number | null;
  readonly motorOhm: number | null;
  /** Switches of the controller, when on. */
  readonly bridgeOhm: number | null;
  /** Rails, braids and joints of the track, and plugs. */
  readonly trackOhm: number | null;
  /** What the controller's switches stand. */
  readonly driverA: number | null;
  readonly pwmHz: number | null;
  readonly dutyPercent: number | null;
  /** Release brake. */
  readonly brakePercent: number | null;
  readonly dragPercent: number | null;
  readonly capacitorUf: number | null;
  /** Rated voltage. */
  readonly capacitorV: number | null;
  /** Rated ripple current, rms. */
  readonly capacitorRippleA: number | null;
  /** Rated life at {@link capacitorRatedC}. */
  readonly capacitorLifeH: number | null;
  readonly capacitorRatedC: number | null;
  /** How warm it gets. */
  readonly capacitorC: number | null;
  /** What braking gives back at most. */
  readonly brakingEnergyJ: number | null;
}

export type InputName = keyof BenchInputs;
type NumberName = Exclude<InputName, 'supplyCanSink'>;

/** Least and most of every number, in the unit of its name. */
export const inputRanges: Readonly<Record<NumberName, readonly [number, number]>> = {
  voltageV: [1, 60],
  supplyA: [0.1, 1000],
  lanes: [1, 16],
  awg: [0, 40],
  areaMm2: [0.01, 100],
  lengthM: [0.01, 200],
  currentA: [0.01, 1000],
  ambientC: [-20, 80],
  insulationC: [40, 250],
  fuseA: [0.1, 500],
  motorOhm: [0.01, 1000],
  bridgeOhm: [0, 10],
  trackOhm: [0, 100],
  driverA: [0.1, 1000],
  pwmHz: [50, 50_000],
  dutyPercent: [0, 100],
  brakePercent: [0, 100],
  dragPercent: [0, 100],
  capacitorUf: [1, 1_000_000],
  capacitorV: [1, 500],
  capacitorRippleA: [0.01, 100],
  capacitorLifeH: [100, 1_000_000],
  capacitorRatedC: [40, 200],
  capacitorC: [-20, 200],
  brakingEnergyJ: [0, 1000],
};

/** These are counted: no parts of them. */
export const wholeInputs: readonly InputName[] = ['lanes', 'awg'];

export const inputNames = [...Object.keys(inputRanges), 'supplyCanSink'] as readonly InputName[];
