import { type Check, type Known, stop, warning } from './check.ts';
import {
  estimateSpread,
  kelvinPerSecond,
  ohmPerMetre,
  steadyRiseK,
  type Wire,
  wattPerMetre,
  wireOfArea,
  wireOfGauge,
} from './wire.ts';

/** Common practice, no source: more is felt as a car that slows when others start. */
const mostDropShare = 0.05;
/** A fuse is slow at its rated current; a supply that gives less than twice as much may never blow it. Common practice, no source. */
const blowsAt = 2;

/** The wire of the inputs, of which a check has asked for `wire`. */
export function wireOf({ awg, areaMm2 }: { readonly awg: number | null; readonly areaMm2: number | null }): Wire {
  return awg !== null ? wireOfGauge(awg) : wireOfArea(areaMm2 as number);
}

/** There and back, ohm. */
export const leadsOhm = (inputs: Known): number => 2 * inputs.lengthM * ohmPerMetre(wireOf(inputs), inputs.ambientC);

/** Lowest, middle and highest of the estimate, °C. */
function estimateC(inputs: Known, amperes: number) {
  const rise = steadyRiseK(wireOf(inputs), amperes, inputs.ambientC);
  return {
    lowC: inputs.ambientC + (1 - estimateSpread) * rise,
    middleC: inputs.ambientC + rise,
    highC: inputs.ambientC + (1 + estimateSpread) * rise,
  };
}

export const dropCheck: Check = {
  name: 'drop',
  needs: ['wire', 'lengthM', 'currentA', 'ambientC', 'voltageV'],
  work(inputs) {
    const { diameterMm, areaMm2 } = wireOf(inputs);
    const dropV = inputs.currentA * leadsOhm(inputs);
    const dropPercent = (100 * dropV) / inputs.voltageV;
    return {
      figures: {
        diameterMm,
        areaMm2,
        milliohmPerM: 1000 * ohmPerMetre(wireOf(inputs), inputs.ambientC),
        dropV,
        dropPercent,
      },
      findings: warning(dropPercent > 100 * mostDropShare, 'dropLarge'),
    };
  },
};

export const heatCheck: Check = {
  name: 'heat',
  needs: ['wire', 'currentA', 'ambientC', 'insulationC'],
  work(inputs) {
    const { currentA, ambientC, insulationC } = inputs;
    const wire = wireOf(inputs);
    const estimate = estimateC(inputs, currentA);
    return {
      figures: {
        heatWPerM: wattPerMetre(wire, currentA, ambientC),
        warmingKPerS: kelvinPerSecond(wire, currentA, ambientC),
        estimateLowC: estimate.lowC,
        estimateHighC: estimate.highC,
      },
      findings: [
        ...stop(estimate.lowC > insulationC, 'tooHot'),
        ...warning(estimate.lowC <= insulationC && estimate.highC > insulationC, 'maybeHot'),
      ],
    };
  },
};

export const fuseCheck: Check = {
  name: 'fuse',
  needs: ['fuseA', 'wire', 'ambientC', 'insulationC', 'currentA', 'driverA', 'supplyA'],
  work(inputs) {
    const { fuseA, currentA, driverA, supplyA, insulationC } = inputs;
    const { middleC, highC } = estimateC(inputs, fuseA);
    return {
      figures: { fuseA, estimateAtFuseC: middleC },
      findings: [
        ...stop(middleC > insulationC, 'fuseAboveWire'),
        ...warning(middleC <= insulationC && highC > insulationC, 'fuseMaybeAboveWire'),
        ...warning(fuseA > driverA, 'fuseAboveDriver'),
        ...warning(fuseA < currentA, 'fuseBelowCurrent'),
        ...warning(supplyA < blowsAt * fuseA, 'fuseNeverBlows'),
      ],
    };
  },
};
