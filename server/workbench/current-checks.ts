import { type Check, type Known, stop, warning } from './check.ts';
import { leadsOhm } from './wire-checks.ts';

/** Common practice, no source. */
const near = 0.8;

const stallNeeds = ['voltageV', 'motorOhm', 'bridgeOhm', 'trackOhm', 'wire', 'lengthM', 'ambientC'] as const;

/** Current of a car that stands at full trigger: only resistance holds it back. */
const stallA = (inputs: Known): number =>
  inputs.voltageV / (inputs.motorOhm + leadsOhm(inputs) + inputs.bridgeOhm + inputs.trackOhm);

export const stallCheck: Check = {
  name: 'stall',
  needs: [...stallNeeds, 'driverA'],
  work(inputs) {
    const amperes = stallA(inputs);
    const { driverA } = inputs;
    return {
      figures: { stallA: amperes, leadsOhm: leadsOhm(inputs), driverA },
      findings: [
        ...stop(amperes > driverA, 'stallAboveDriver'),
        ...warning(amperes <= driverA && amperes > near * driverA, 'stallNearDriver'),
      ],
    };
  },
};

export const supplyCheck: Check = {
  name: 'supply',
  needs: [...stallNeeds, 'supplyA', 'lanes'],
  work(inputs) {
    const amperes = stallA(inputs);
    const allLanesA = inputs.lanes * amperes;
    const { supplyA } = inputs;
    return {
      figures: { stallA: amperes, allLanesA, supplyA },
      findings: [
        ...warning(amperes > supplyA, 'stallAboveSupply'),
        ...warning(amperes <= supplyA && allLanesA > supplyA, 'lanesAboveSupply'),
      ],
    };
  },
};
