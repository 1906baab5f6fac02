import type { Profile, Tuning } from '../model/profile.ts';
import { brakeLaw, brakeShareOfFull, lockThreshold, tyreStop } from './brake-grip.ts';
import { type Car, carOf } from './car.ts';
import {
  coastStop,
  electricalTimeConstant,
  mechanicalTimeConstant,
  type Stop,
  stallCurrent,
  steadySpeed,
} from './closed-form.ts';
import { lightDuty, type MotorCurrents, motorCurrents } from './currents.ts';
import type { CarMotor } from './motor.ts';
import { pwmPeriod } from './pwm.ts';
import { drivenShort, type PwmMap, pwmMap } from './pwm-map.ts';
import { choppedSpeed } from './ripple.ts';
import { profileRun, rolling } from './run.ts';
import { shownSpeeds } from './speeds.ts';

/** Everything that a profile's page tells about a motor and its car. SI units; shares are 0..1. */
export interface MotorStory {
  readonly motor: CarMotor;
  readonly topSpeedMPerS: number;
  readonly electricalTimeConstantS: number;
  readonly mechanicalTimeConstantS: number;
  /** What the held motor could push with at full drive, and what the driven tyres hold. */
  readonly pushN: number;
  readonly gripN: number;
  /** Trigger pressed to a place and held there, from rest. */
  readonly steps: readonly StepResponse[];
  readonly stops: readonly StopRow[];
  readonly own: SetupStory;
  /** The profile that is laid over it, if there is one. */
  readonly other: SetupStory | null;
  /** Duty 20 % at several switching frequencies, with this profile's way of switching. */
  readonly frequencies: readonly FrequencyRow[];
  /** Volts of their columns. */
  readonly backEmfsV: readonly number[];
  readonly map: PwmMap;
  readonly locks: readonly LockRow[];
}

/** What one profile does with the motor, and which sentences belong to it. */
export interface SetupStory {
  readonly currents: MotorCurrents;
  /** Terminals shorted in the whole off time: frequency changes heat, not pull, and it brakes at part throttle. */
  readonly sync: boolean;
  /** The off time's current goes back to the supply. */
  readonly fast: boolean;
  readonly pwmHz: number;
  /** Strengths of brakes that are neither off nor full, so that they depend on the frequency, and what becomes of them. */
  readonly choppedBrakes: readonly ChoppedBrake[];
}

export interface ChoppedBrake {
  readonly which: 'release' | 'drag';
  /** As set, 0..1. */
  readonly strength: number;
  /** Share of a full brake at half the track's voltage, by switching frequency; the profile's own is among them. */
  readonly shareOfFull: readonly { readonly pwmHz: number; readonly share: number; readonly own: boolean }[];
}

export interface StepResponse {
  /** Where the trigger is pressed to, 0..1. */
  readonly trigger: number;
  /** Points at equal times; both curves have the same times. */
  readonly tS: readonly number[];
  readonly ownMPerS: readonly number[];
  readonly otherMPerS: readonly number[] | null;
}

/** From a speed to rest. Null: not over after 20 s. */
export interface StopRow {
  readonly speedMPerS: number;
  /** Neither drive nor short. */
  readonly coast: Stop;
  /** Trigger released, with tyres that may slide. */
  readonly own: Stop | null;
  readonly other: Stop | null;
}

/** Mean current in A at each of the story's `backEmfsV`, and speed at light load over that at full drive. */
export interface FrequencyRow {
  readonly pwmHz: number;
  readonly meanA: readonly number[];
  readonly speedShare: number;
  readonly rmsA: number;
  readonly heatW: number;
}

export interface LockRow {
  readonly speedMPerS: number;
  /** Brake strength above which the wheels slide; null when they hold at full brake. */
  readonly strength: number | null;
}

const shownBackEmfs = [0, 2, 4, 8] as const;
const shownFrequencies = [200, 1000, 2000, 5000] as const;

const triggers = [1, 0.5] as const;
const longestRunS = 3;
const shownPoints = 61;

/**
 * @param other a second profile, whose curves are laid over the first one's
 */
export function motorStory(profile: Profile, motor: CarMotor, other: Profile | null): MotorStory {
  const car = carOf(motor);
  const topSpeedMPerS = steadySpeed(car) * car.metresPerRad;
  const speeds = shownSpeeds(topSpeedMPerS);
  return {
    motor,
    topSpeedMPerS,
    electricalTimeConstantS: electricalTimeConstant(car),
    mechanicalTimeConstantS: mechanicalTimeConstant(car),
    pushN: (car.ke * stallCurrent(car)) / car.metresPerRad,
    gripN: car.gripN,
    steps: triggers.map((trigger) => stepResponse(car, trigger, profile, other)),
    stops: stopRows(car, speeds, profile, other),
    own: setupStory(car, motor, profile),
    other: other && setupStory(car, motor, other),
    frequencies: shownFrequencies.map((pwmHz) => frequencyRow(car, motor, profile, pwmHz)),
    backEmfsV: shownBackEmfs,
    map: pwmMap(car, profile),
    locks: speeds.map((speedMPerS) => ({
      speedMPerS,
      strength: lockThreshold(car, profile, speedMPerS),
    })),
  };
}

function stepResponse(car: Car, trigger: number, own: Tuning, other: Tuning | null): StepResponse {
  const first = pressed(car, own, trigger);
  const second = other && pressed(car, other, trigger);
  const lastS = Math.max(first.settledS, second?.settledS ?? 0);
  // As far as anything happens, and a little of what comes after.
  const windowS = Math.min(longestRunS, Math.max(0.2, Math.ceil(lastS * 1.1 * 10) / 10));
  const tS = Array.from({ length: shownPoints }, (_, k) => (windowS * k) / (shownPoints - 1));
  const at = ({ speeds }: Pressed) => tS.map((t) => speeds[Math.round(t / sampleS)] ?? (speeds.at(-1) as number));
  return { trigger, tS, ownMPerS: at(first), otherMPerS: second && at(second) };
}

interface Pressed {
  /** Speed at every sample. */
  readonly speeds: readonly number[];
  /** When 98 % of the last speed were reached. */
  readonly settledS: number;
}

const sampleS = 0.001;
const steadySamples = 100;

function pressed(car: Car, tuning: Tuning, trigger: number): Pressed {
  const speeds: number[] = [];
  // Once the duty stands and a tenth of a second brings next to nothing, the rest of the run would be a level line.
  const steady = () => {
    const last = speeds.length - 1;
    const [now = 0, before = 0] = [speeds[last], speeds[last - steadySamples]];
    return last * sampleS > tuning.rampUpMs / 1000 + steadySamples * sampleS && now - before <= 1e-4 * now;
  };
  const run = { durationS: longestRunS, start: rolling(car, 0), trigger: () => trigger, until: steady };
  profileRun(tuning, car, run, ({ tS, carMPerS }) => {
    if (tS >= speeds.length * sampleS - 1e-9) speeds.push(carMPerS);
  });
  const goal = 0.98 * (speeds.at(-1) as number);
  return {
    speeds,
    settledS:
      Math.max(
        0,
        speeds.findIndex((speed) => speed >= goal),
      ) * sampleS,
  };
}

function stopRows(car: Car, speeds: readonly number[], own: Tuning, other: Tuning | null): StopRow[] {
  const releasedLaw = ({ brakeFull, pwmHz, decay }: Tuning) =>
    brakeLaw(car, { offShort: brakeFull / 1000, pwmHz, decay });
  const ownLaw = releasedLaw(own);
  const otherLaw = other && releasedLaw(other);
  return speeds.map((speedMPerS) => ({
    speedMPerS,
    coast: coastStop(car, speedMPerS / car.metresPerRad),
    own: tyreStop(car, ownLaw, speedMPerS),
    other: otherLaw && tyreStop(car, otherLaw, speedMPerS),
  }));
}

function setupStory(car: Car, motor: CarMotor, tuning: Tuning): SetupStory {
  return {
    currents: motorCurrents(car, motor, tuning),
    sync: tuning.rectify === 'sync',
    fast: tuning.decay === 'fast',
    pwmHz: tuning.pwmHz,
    choppedBrakes: choppedBrakes(car, tuning),
  };
}

function choppedBrakes(car: Car, tuning: Tuning): ChoppedBrake[] {
  const { brakeFull, drag, rectify, pwmHz: ownHz, decay } = tuning;
  const set = [
    { which: 'release', permille: brakeFull },
    { which: 'drag', permille: rectify === 'sync' ? 0 : drag.strength },
  ] as const;
  const frequencies = [...new Set([...shownFrequencies, ownHz])].sort((a, b) => a - b);
  return set
    .filter(({ permille }) => permille > 0 && permille < 1000)
    .map(({ which, permille }) => ({
      which,
      strength: permille / 1000,
      shareOfFull: frequencies.map((pwmHz) => ({
        pwmHz,
        share: brakeShareOfFull(car, { offShort: permille / 1000, pwmHz, decay }, car.volts / 2),
        own: pwmHz === ownHz,
      })),
    }));
}

function frequencyRow(car: Car, motor: CarMotor, tuning: Tuning, pwmHz: number): FrequencyRow {
  const switching = { duty: lightDuty, offShort: drivenShort(tuning), pwmHz, decay: tuning.decay };
  const speed = choppedSpeed(car, switching);
  const top = steadySpeed(car);
  const { rmsA } = pwmPeriod(car, switching, car.ke * speed);
  return {
    pwmHz,
    meanA: shownBackEmfs.map((backEmf) => pwmPeriod(car, switching, backEmf).meanA),
    speedShare: top > 0 ? speed / top : 0,
    rmsA,
    heatW: rmsA ** 2 * motor.rOhm,
  };
}
