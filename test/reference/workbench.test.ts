import { readFileSync } from 'node:fs';
import path from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { checkBench, checks, overall } from '../../server/workbench/bench.ts';
import { type BenchInputs, type InputName, inputNames, inputRanges } from '../../server/workbench/inputs.ts';
import { kelvinPerSecond, ohmPerMetre, wattPerMetre, wireOfArea, wireOfGauge } from '../../server/workbench/wire.ts';

type Reference = { id: string; value: number; tolerance: string; source: string };
const references: Reference[] = JSON.parse(
  readFileSync(path.join(import.meta.dirname, 'data/controller/references.json'), 'utf8'),
).checks;

/** A reference of the file, with the tolerance that stands beside it. */
function reference(id: string): { value: number; within: number } {
  const found = references.find((each) => each.id === id);
  if (!found) throw new Error(`no reference ${id}`);
  return { value: found.value, within: (Number.parseFloat(found.tolerance) / 100) * found.value };
}

const feetPerKm = 1000 / 0.3048;

const nothing = Object.fromEntries(inputNames.map((name) => [name, null])) as unknown as BenchInputs;

/** A bench on which all is well. */
const fine: BenchInputs = {
  voltageV: 12,
  supplyA: 120,
  supplyCanSink: true,
  lanes: 4,
  awg: 14,
  areaMm2: null,
  lengthM: 1.5,
  currentA: 5,
  ambientC: 20,
  insulationC: 105,
  fuseA: 10,
  motorOhm: 0.6,
  bridgeOhm: 0.02,
  trackOhm: 0.05,
  driverA: 40,
  pwmHz: 5000,
  dutyPercent: 50,
  brakePercent: 100,
  dragPercent: 0,
  capacitorUf: 4700,
  capacitorV: 25,
  capacitorRippleA: 4,
  capacitorLifeH: 5000,
  capacitorRatedC: 105,
  capacitorC: 45,
  brakingEnergyJ: 1,
};

function check(name: string, inputs: Partial<BenchInputs>) {
  const result = checkBench({ ...nothing, ...inputs }).find((each) => each.check === name);
  if (!result) throw new Error(`no check ${name}`);
  return { ...result, figure: (key: string) => result.figures[key] ?? Number.NaN };
}

describe('wire', () => {
  // Source: ASTM B258 as tabled by HyperPhysics, Georgia State University, "Common Wire Gauges".
  test.each([
    [14, 'awg14-d'],
    [16, 'awg16-d'],
  ])('AWG %i is as thick as the table says', (awg, id) => {
    const { value, within } = reference(id);
    expect(Math.abs(wireOfGauge(awg).diameterMm - value)).toBeLessThan(within);
  });

  // Source: the same table, ohm per 1000 ft at 20 °C.
  test.each([
    [14, 'awg14-r'],
    [16, 'awg16-r'],
  ])('AWG %i has the resistance of the table', (awg, id) => {
    const { value, within } = reference(id);
    const per1000ft = ohmPerMetre(wireOfGauge(awg), 20) * (1e6 / feetPerKm);
    expect(Math.abs(per1000ft - value)).toBeLessThan(within);
  });

  // Source: NBS Handbook 100 (1966): 0.017241 ohm mm2/m; we take 1.724e-8, which is 0.006 % less.
  test('copper of one square millimetre', () => {
    const { value } = reference('iacs');
    expect(Math.abs(ohmPerMetre(wireOfArea(1), 20) - value * 1e6) / (value * 1e6)).toBeLessThan(1e-4);
    // Temperature coefficient 0.00393 per kelvin: IACS.
    expect(ohmPerMetre(wireOfArea(1), 70) / ohmPerMetre(wireOfArea(1), 20)).toBeCloseTo(1.1965, 6);
  });

  // Worked out by hand from the tabled resistances: U = I R' l, P = I^2 R'.
  test('10 A over twice 1.5 m', () => {
    const at = (awg: number) => ({ ...fine, awg, currentA: 10, ambientC: 20 });
    expect(check('drop', at(14)).figure('dropV')).toBeCloseTo(0.25, 2);
    expect(check('drop', at(16)).figure('dropV')).toBeCloseTo(0.4, 2);
    expect(check('heat', at(14)).figure('heatWPerM')).toBeCloseTo(0.83, 2);
    expect(check('heat', at(16)).figure('heatWPerM')).toBeCloseTo(1.32, 2);
    expect(wattPerMetre(wireOfGauge(16), 10, 20)).toBe(check('heat', at(16)).figure('heatWPerM'));
  });

  // Density 8890 kg/m3 and heat capacity 385 J/(kg K) of copper, worked out by hand: 21.1 W/m into 4.48 J/(m K).
  test('AWG 16 at 40 A warms 4.7 K a second', () => {
    expect(kelvinPerSecond(wireOfGauge(16), 40, 20)).toBeCloseTo(4.7, 1);
  });

  // Ten gauges are a ratio of ten in area, nearly: a rule of thumb older than calculators.
  test('gauge and area agree', () => {
    expect(wireOfGauge(10).areaMm2 / wireOfGauge(20).areaMm2).toBeCloseTo(10.17, 1);
    const { diameterMm, areaMm2 } = wireOfGauge(16);
    expect(wireOfArea(areaMm2).diameterMm).toBeCloseTo(diameterMm, 12);
    expect(check('drop', { ...fine, awg: null, areaMm2 }).figure('dropV')).toBeCloseTo(
      check('drop', { ...fine, awg: 16 }).figure('dropV'),
      12,
    );
  });
});

describe('currents', () => {
  test('a standing car draws what resistance lets through', () => {
    // By hand: 12 V over 0.6 + 2 * 1.5 * 0.0082847 + 0.02 + 0.05 ohm.
    const { stallA, allLanesA } = check('supply', fine).figures;
    expect(stallA).toBeCloseTo(17.3, 1);
    expect(allLanesA).toBeCloseTo(4 * 17.3, 0);
    expect(check('stall', { ...fine, driverA: 15 })).toMatchObject({ state: 'stop' });
    expect(check('stall', { ...fine, driverA: 20 })).toMatchObject({ state: 'warning' });
    expect(check('supply', { ...fine, supplyA: 10 }).findings).toEqual([
      { reason: 'stallAboveSupply', state: 'warning' },
    ]);
    expect(check('supply', { ...fine, supplyA: 40 }).findings).toEqual([
      { reason: 'lanesAboveSupply', state: 'warning' },
    ]);
  });

  test('a fuse protects the wire, the switches, and blows', () => {
    const reasons = (changes: Partial<BenchInputs>) =>
      check('fuse', { ...fine, ...changes }).findings.map(({ reason }) => reason);
    expect(reasons({})).toEqual([]);
    expect(reasons({ fuseA: 60, awg: 24 })).toContain('fuseAboveWire');
    expect(reasons({ fuseA: 45 })).toContain('fuseAboveDriver');
    expect(reasons({ fuseA: 4 })).toEqual(['fuseBelowCurrent']);
    expect(reasons({ supplyA: 15 })).toEqual(['fuseNeverBlows']);
  });

  test('the estimate of a hot wire is taken at both of its ends', () => {
    // 10 A in AWG 16: 1.317 W/m over pi * 1.291 mm at 10 W/(m2 K) is 32.5 K, half more or less.
    const { figure } = check('heat', { ...fine, awg: 16, currentA: 10 });
    expect(figure('estimateLowC')).toBeCloseTo(36.2, 1);
    expect(figure('estimateHighC')).toBeCloseTo(68.7, 1);
    expect(check('heat', { ...fine, awg: 16, currentA: 10, insulationC: 60 }).state).toBe('warning');
    expect(check('heat', { ...fine, awg: 24, currentA: 10, insulationC: 60 }).state).toBe('stop');
  });
});

describe('capacitor', () => {
  // Over 80 % a warning, over 100 % stop: common practice, no source.
  test.each([
    [12, 75, 'ok'],
    [13.8, 86, 'warning'],
    [18, 113, 'stop'],
  ])('of 16 V at %d V is at %d %%', (voltageV, percent, state) => {
    const result = check('rating', { voltageV, capacitorV: 16 });
    expect(Math.round(result.figure('ratingPercent'))).toBe(percent);
    expect(result.state).toBe(state);
  });

  // By hand: rms of a square wave without its mean is I sqrt(D (1 - D)).
  test('ripple of 10 A at half duty is 5 A', () => {
    const result = check('ripple', { ...fine, currentA: 10, dutyPercent: 50, capacitorRippleA: 2 });
    expect(result.figure('rippleA')).toBeCloseTo(5, 12);
    expect(result.state).toBe('stop');
  });

  // By hand: 2.5 A for half a period out of 2200 uF.
  test.each([
    [200, 5.7],
    [5000, 0.23],
  ])('droop at %d Hz is %d V', (pwmHz, volts) => {
    const result = check('droop', { ...fine, currentA: 10, dutyPercent: 50, capacitorUf: 2200, pwmHz });
    expect(result.figure('droopV')).toBeCloseTo(volts, pwmHz === 200 ? 1 : 2);
  });

  // Illinois Capacitor, life calculators: life doubles per 10 K less.
  test('lives twice as long when 10 K cooler', () => {
    const life = (capacitorC: number) => check('life', { ...fine, capacitorC }).figure('lifeH');
    expect(life(105)).toBeCloseTo(5000, 9);
    expect(life(95) / life(105)).toBeCloseTo(2, 12);
    expect(life(45)).toBeCloseTo(5000 * 64, 6);
    expect(check('life', { ...fine, capacitorC: 106 }).state).toBe('stop');
  });

  // Principle: Electrical Engineering Stack Exchange, "Why should I worry about a motor causing my supply voltage to shoot
  // up when slowing down"; the number is arithmetic.
  test('1 J lifts 2200 uF from 12.5 V to 32.6 V', () => {
    const braking = {
      ...fine,
      voltageV: 12.5,
      capacitorUf: 2200,
      brakingEnergyJ: 1,
      supplyCanSink: false,
      brakePercent: 50,
    };
    const { value, within } = reference('pump');
    const result = check('pumpUp', braking);
    expect(Math.abs(result.figure('pumpedV') - value)).toBeLessThan(within);
    expect(result.state).toBe('stop');
    expect(check('pumpUp', { ...braking, capacitorV: 50 }).state).toBe('warning');
  });

  test('only a chopped brake on a supply that takes nothing back pumps', () => {
    const state = (changes: Partial<BenchInputs>) => check('pumpUp', { ...fine, ...changes }).state;
    const cannot = { supplyCanSink: false, brakingEnergyJ: 0.1, capacitorV: 35 };
    expect(state({ ...cannot, brakePercent: 0, dragPercent: 100 })).toBe('ok');
    expect(state({ ...cannot, brakePercent: 100, dragPercent: 1 })).toBe('warning');
    expect(state({ ...cannot, brakePercent: 99, dragPercent: 0 })).toBe('warning');
    expect(state({ ...cannot, supplyCanSink: true, brakePercent: 50 })).toBe('ok');
    // Known to be bad before everything is known.
    expect(check('pumpUp', { supplyCanSink: false, brakePercent: 50 })).toMatchObject({
      state: 'warning',
      missing: ['voltageV', 'dragPercent', 'capacitorUf', 'capacitorV', 'brakingEnergyJ'],
    });
  });
});

describe('nothing is well while something is missing', () => {
  test('a bench on which all is well', () => {
    expect(checkBench(fine).map(({ check: name, state }) => [name, state])).toEqual(
      checks.map(({ name }) => [name, 'ok']),
    );
  });

  test.each(inputNames.filter((name) => name !== 'areaMm2'))('without %s', (name) => {
    const results = checkBench({ ...fine, [name]: null });
    expect(overall(results)).not.toBe('ok');
    for (const { missing, state, figures } of results) {
      if (missing.length === 0) continue;
      expect(state).not.toBe('ok');
      expect(figures).toEqual({});
    }
  });

  const value = (name: InputName): fc.Arbitrary<number | boolean> => {
    if (name === 'supplyCanSink') return fc.boolean();
    const [min, max] = inputRanges[name];
    return fc.double({ min, max, noNaN: true });
  };
  const anyBench = fc.record(
    Object.fromEntries(inputNames.map((name) => [name, fc.option(value(name), { freq: 6 })])),
  ) as unknown as fc.Arbitrary<BenchInputs>;

  test('whatever is known', () => {
    fc.assert(
      fc.property(anyBench, fc.constantFrom(...inputNames), (inputs, without) => {
        const before = checkBench(inputs);
        const after = checkBench({ ...inputs, [without]: null });
        after.forEach((result, i) => {
          const need = without === 'awg' || without === 'areaMm2' ? 'wire' : without;
          const needed = checks[i]?.needs.includes(need) === true && result.missing.includes(need);
          if (needed) expect(result.state).not.toBe('ok');
          else if (need !== 'wire') expect(result).toEqual(before[i]);
          expect(Object.values(result.figures).every(Number.isFinite)).toBe(true);
        });
      }),
      { numRuns: 500 },
    );
  });
});
