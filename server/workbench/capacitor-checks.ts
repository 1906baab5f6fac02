import { type Check, stop, warning } from './check.ts';
import type { BenchInputs } from './inputs.ts';

/** Common practice, no source. */
const near = 0.8;
const mostDroopShare = 0.1;
const nearHeatK = 20;

export const ratingCheck: Check = {
  name: 'rating',
  needs: ['voltageV', 'capacitorV'],
  work({ voltageV, capacitorV }) {
    const share = voltageV / capacitorV;
    return {
      figures: { ratingPercent: 100 * share },
      findings: [...stop(share > 1, 'voltageAboveRating'), ...warning(share <= 1 && share > near, 'voltageNearRating')],
    };
  },
};

export const rippleCheck: Check = {
  name: 'ripple',
  needs: ['currentA', 'dutyPercent', 'capacitorRippleA'],
  work({ currentA, dutyPercent, capacitorRippleA }) {
    const duty = dutyPercent / 100;
    const rippleA = currentA * Math.sqrt(duty * (1 - duty));
    return {
      figures: { rippleA, capacitorRippleA },
      findings: [
        ...stop(rippleA > capacitorRippleA, 'rippleAboveRating'),
        ...warning(rippleA <= capacitorRippleA && rippleA > near * capacitorRippleA, 'rippleNearRating'),
      ],
    };
  },
};

export const droopCheck: Check = {
  name: 'droop',
  needs: ['voltageV', 'currentA', 'dutyPercent', 'pwmHz', 'capacitorUf'],
  work({ voltageV, currentA, dutyPercent, pwmHz, capacitorUf }) {
    const duty = dutyPercent / 100;
    // The supply is taken to give the mean current and nothing of the rest.
    const droopV = (currentA * duty * (1 - duty)) / (pwmHz * capacitorUf * 1e-6);
    return { figures: { droopV }, findings: warning(droopV > mostDroopShare * voltageV, 'droopLarge') };
  },
};

export const lifeCheck: Check = {
  name: 'life',
  needs: ['capacitorLifeH', 'capacitorRatedC', 'capacitorC'],
  work({ capacitorLifeH, capacitorRatedC, capacitorC }) {
    // Doubles for every 10 K less: rule of the makers' life calculators (Illinois Capacitor).
    const lifeH = capacitorLifeH * 2 ** ((capacitorRatedC - capacitorC) / 10);
    const below = capacitorRatedC - capacitorC;
    return {
      figures: { lifeH },
      findings: [...stop(below < 0, 'hotterThanRated'), ...warning(below >= 0 && below < nearHeatK, 'nearlyRatedHeat')],
    };
  },
};

const isChopped = (percent: number | null) => percent !== null && percent > 0 && percent < 100;

/** A chopped brake lifts the motor's voltage above the supply's; a supply that takes nothing back leaves it to the capacitor. */
const pumps = ({ supplyCanSink, brakePercent, dragPercent }: BenchInputs) =>
  supplyCanSink === false && (isChopped(brakePercent) || isChopped(dragPercent));

export const pumpUpCheck: Check = {
  name: 'pumpUp',
  needs: ['voltageV', 'supplyCanSink', 'brakePercent', 'dragPercent', 'capacitorUf', 'capacitorV', 'brakingEnergyJ'],
  work(inputs) {
    const { voltageV, capacitorUf, capacitorV, brakingEnergyJ } = inputs;
    if (!pumps(inputs)) return { figures: { pumpedV: voltageV }, findings: [] };
    // All of the energy into the capacitor: E = C V^2 / 2.
    const pumpedV = Math.sqrt(voltageV ** 2 + (2 * brakingEnergyJ) / (capacitorUf * 1e-6));
    return {
      figures: { pumpedV },
      findings: [...stop(pumpedV > capacitorV, 'pumpsAboveRating'), ...warning(pumpedV <= capacitorV, 'pumpsUp')],
    };
  },
  already: (inputs) => warning(pumps(inputs), 'pumpsUp'),
};
