import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { defaultTuning, type Profile } from '../../server/profiles/model/profile.ts';
import { fromBench } from '../../server/profiles/motor/bench.ts';
import { lockThreshold } from '../../server/profiles/motor/brake-grip.ts';
import { carOf } from '../../server/profiles/motor/car.ts';
import { chosenMotor } from '../../server/profiles/motor/choice.ts';
import { motorFigures } from '../../server/profiles/motor/figures.ts';
import { type CarMotor, presets } from '../../server/profiles/motor/motor.ts';
import { motorRanges } from '../../server/profiles/motor/motor-schema.ts';
import { pwmPeriod } from '../../server/profiles/motor/pwm.ts';
import { fastLimit, slowLimit } from '../../server/profiles/motor/ripple.ts';
import { shownSpeeds } from '../../server/profiles/motor/speeds.ts';
import { motorStory } from '../../server/profiles/motor/story.ts';
import { renderFragment } from '../../views/html.ts';
import { MotorPart } from '../../views/profile-motor.tsx';
import { motor as words } from '../../views/texts/en/motor.ts';

const profile = (more: Partial<Profile> = {}): Profile => ({ name: 'Hairpins', ...defaultTuning, ...more });

/** Any value that a form or file may hold, spread over its powers of ten. */
const anyMotor: fc.Arbitrary<CarMotor> = fc.record(
  Object.fromEntries(
    Object.entries(motorRanges).map(([key, [least, most]]) => {
      const from = Math.log(Math.max(least, most * 1e-9));
      const any = fc.double({ min: from, max: Math.log(most), noNaN: true }).map((x) => Math.min(most, Math.exp(x)));
      return [key, least === 0 ? fc.oneof(fc.constant(0), any) : any.map((x) => Math.max(least, x))];
    }),
  ) as { [K in keyof CarMotor]: fc.Arbitrary<number> },
);

const anyProfile = fc
  .record({
    minDrive: fc.integer({ min: 0, max: 600 }),
    maxDrive: fc.integer({ min: 650, max: 1000 }),
    rampUpMs: fc.integer({ min: 0, max: 500 }),
    brakeFull: fc.integer({ min: 0, max: 1000 }),
    pwmHz: fc.integer({ min: 200, max: 5000 }),
    switching: fc.constantFrom(
      { decay: 'slow', rectify: 'async' } as const,
      { decay: 'slow', rectify: 'sync' } as const,
      { decay: 'fast', rectify: 'async' } as const,
    ),
  })
  .map(({ switching, ...rest }) => profile({ ...rest, ...switching }));

/** Every number of a value, with where it stands. */
function numbersOf(value: unknown, path = ''): [string, number][] {
  if (typeof value === 'number') return [[path, value]];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, one]) => numbersOf(one, `${path}.${key}`));
}

test('no motor and no profile makes a number that is none', () => {
  fc.assert(
    fc.property(anyMotor, anyProfile, (motor, setup) => {
      const { stops, ...story } = motorStory(setup, motor, null);
      // A car without any friction coasts for ever.
      const braked = stops.map(({ own }) => own);
      const odd = numbersOf({ story, braked, figures: motorFigures(motor, setup) }).filter(
        ([, value]) => !Number.isFinite(value),
      );
      expect(odd).toEqual([]);
    }),
    { numRuns: 60 },
  );
});

describe('the mean current of a period', () => {
  const car = carOf(presets.club);
  const anySwitching = fc.record({
    duty: fc.double({ min: 0, max: 1, noNaN: true }),
    offShort: fc.double({ min: 0, max: 1, noNaN: true }),
    pwmHz: fc.integer({ min: 200, max: 5000 }),
    decay: fc.constantFrom('slow', 'fast'),
  });

  test('falls with speed, rises with duty, and a longer short brakes more', () => {
    fc.assert(
      fc.property(anySwitching, fc.double({ min: 0, max: 12, noNaN: true }), (switching, emf) => {
        const mean = (more: object, at = emf) => pwmPeriod(car, { ...switching, ...more }, at).meanA;
        const tiny = 1e-9;
        expect(mean({}, emf + 0.5)).toBeLessThanOrEqual(mean({}) + tiny);
        const { duty, offShort } = switching;
        if (duty === 0) expect(mean({ offShort: Math.min(1, offShort + 0.1) })).toBeLessThanOrEqual(mean({}) + tiny);
        if (switching.decay === 'slow' && offShort === 0) {
          expect(mean({ duty: Math.min(1, duty + 0.1) })).toBeGreaterThanOrEqual(mean({}) - tiny);
        }
      }),
    );
  });

  test('is the least heat for its mean, and its books balance', () => {
    fc.assert(
      fc.property(anySwitching, fc.double({ min: 0, max: 12, noNaN: true }), (switching, emf) => {
        const { meanA, rmsA, peakA, leastA, supplyA } = pwmPeriod(car, switching, emf);
        expect(rmsA).toBeGreaterThanOrEqual(Math.abs(meanA) - 1e-9);
        expect(meanA).toBeLessThanOrEqual(peakA + 1e-9);
        expect(meanA).toBeGreaterThanOrEqual(leastA - 1e-9);
        // Energy a period: supply = winding's heat + what the turning motor takes.
        expect(car.volts * supplyA).toBeCloseTo(car.ohm * rmsA ** 2 + emf * meanA, 6);
      }),
    );
  });

  test('lies between its two limits without a short', () => {
    for (const pwmHz of [200, 500, 1000, 2000, 5000]) {
      for (const emf of [1, 3, 6, 9]) {
        const mean = pwmPeriod(car, { duty: 0.4, offShort: 0, pwmHz, decay: 'slow' }, emf).meanA;
        expect(mean).toBeGreaterThanOrEqual(fastLimit(car, 0.4, emf) - 1e-9);
        expect(mean).toBeLessThan(slowLimit(car, 0.4, emf));
      }
    }
    const slow = pwmPeriod(car, { duty: 0.4, offShort: 0, pwmHz: 0.5, decay: 'slow' }, 6).meanA;
    expect(slow).toBeCloseTo(slowLimit(car, 0.4, 6), 2);
  });
});

test('the slower the car, the more brake the tyres hold; with a strong magnet they hold all of it', () => {
  const brake = { pwmHz: 2000, decay: 'slow' } as const;
  const strengths = [2, 4, 6, 8, 10, 12].map((speed) => lockThreshold(carOf(presets.club), brake, speed) ?? 1);
  expect(strengths).toEqual(strengths.toSorted((a, b) => b - a));
  expect(lockThreshold(carOf({ ...presets.club, fMagN: 50 }), brake, 12)).toBeNull();
});

test('wiring counts for stall current and speed, and is not heated like the winding', () => {
  const plain = motorFigures(presets.club, profile());
  const wired = motorFigures({ ...presets.club, wiringOhm: 0.2 }, profile());
  expect(wired.stallCurrentA).toBeCloseTo(12.5 / 0.8, 9);
  expect(wired.steadySpeedMPerS).toBeLessThan(plain.steadySpeedMPerS);
  expect(wired.lightLoad.windingHeatW).toBeCloseTo(0.6 * wired.lightLoad.rmsCurrentA ** 2, 9);
});

test('a ramp lowers the largest current of a start', () => {
  const peak = (rampUpMs: number) => motorFigures(presets.club, profile({ rampUpMs })).peakCurrentA;
  expect(peak(0)).toBeGreaterThan(peak(150));
  expect(peak(150)).toBeGreaterThan(peak(500));
});

test('round speeds up to the fastest', () => {
  expect(shownSpeeds(12.43)).toEqual([2, 4, 6, 8, 10, 12]);
  expect(shownSpeeds(1.3)).toEqual([0.2, 0.4, 0.6, 0.8, 1, 1.2]);
  expect(shownSpeeds(0)).toEqual([]);
});

test('a motor is chosen by name; without one the car’s own goes first', () => {
  const own = { ...presets.mild, rOhm: 5 };
  expect(chosenMotor('strong', own)).toEqual({ chosen: 'strong', motor: presets.strong });
  expect(chosenMotor(['x'], own)).toEqual({ chosen: 'car', motor: own });
  expect(chosenMotor('car', null)).toEqual({ chosen: 'club', motor: presets.club });
});

test('bench readings give back the motor that they were made from', () => {
  const { rOhm, keVs, tf, b } = presets.club;
  const free = (volts: number) => {
    const speed = ((keVs * volts) / rOhm - tf) / (b + keVs ** 2 / rOhm);
    return { a: (volts - keVs * speed) / rOhm, rpm: (speed * 60) / (2 * Math.PI) };
  };
  const [fast, slow] = [free(12), free(6)];
  const read = fromBench({
    heldV: 1.2,
    heldA: 1.2 / rOhm,
    freeV: 12,
    freeA: fast.a,
    freeRpm: fast.rpm,
    second: { freeA: slow.a, freeRpm: slow.rpm },
  });
  for (const [key, right] of Object.entries({ rOhm, keVs, tf, b })) {
    expect(read?.[key as 'rOhm']).toBeCloseTo(right, 12);
  }
});

describe('what the page says', () => {
  const page = (setup: Profile, other: Profile | null = null) =>
    renderFragment(
      <MotorPart
        story={motorStory(setup, presets.club, other)}
        names={{ own: 'these settings', other: 'version 1' }}
        chosen="club"
        measured={false}
        action="/x"
        carHref={null}
      />,
    )
      .replace(/<[^>]+>/g, ' ')
      .replace(/\s+/g, ' ');

  test('always: what it is good for, what it leaves out, and that presets are from memory', () => {
    const text = page(profile());
    expect(text).toContain(words.honest);
    expect(text).toContain(words.leftOut);
    expect(text).toContain(words.choice.preset);
  });

  test('full off-time braking: frequency changes heat, not pull, and it brakes already', () => {
    const text = page(profile({ rectify: 'sync' }));
    expect(text).toContain('the frequency changes heat, not pull');
    expect(text).toContain('200 Hz puts 31.4 W into the winding, 5000 Hz 0.6 W');
    expect(text).toContain(words.frequency.syncBrake);
    expect(text).not.toContain('less proportional');
  });

  test('none: a low frequency is stronger and less proportional', () => {
    const text = page(profile());
    expect(text).toContain('at 91 % of full speed with 200 Hz and at 51 % with 5000 Hz');
    expect(text).not.toContain(words.frequency.syncBrake);
    expect(text).not.toContain('is chopped');
    expect(page(profile({ decay: 'fast' }))).toContain(words.frequency.fast);
  });

  test('a chopped brake depends on the frequency; with full off-time braking no drag brake does', () => {
    const drag = { strength: 250, zoneFrom: 0, zoneTo: 500, closingOnly: false };
    const text = page(profile({ brakeFull: 505, drag, pwmHz: 1450 }));
    expect(text).toContain(words.frequency.chopped('release', '50.5'));
    expect(text).toContain(words.frequency.chopped('drag', '25'));
    expect(text).toContain(words.frequency.ownHz(1450));
    expect(page(profile({ drag, rectify: 'sync' }))).not.toContain('is chopped');
  });

  test('the strength above which more brake only makes the wheels slide', () => {
    expect(page(profile())).toMatch(/From 8 m\/s, a brake above 12 % only makes the wheels slide/);
  });

  test('another profile is laid over, with its name in the tables', () => {
    expect(page(profile())).not.toContain('version 1');
    expect(page(profile(), profile({ brakeFull: 200 }))).toContain('version 1, way');
  });
});
