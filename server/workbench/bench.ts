import { droopCheck, lifeCheck, pumpUpCheck, ratingCheck, rippleCheck } from './capacitor-checks.ts';
import type { Check, Finding, Known, State } from './check.ts';
import { stallCheck, supplyCheck } from './current-checks.ts';
import type { BenchInputs, InputName } from './inputs.ts';
import { dropCheck, fuseCheck, heatCheck } from './wire-checks.ts';

/** Every check, in the order of the page. */
export const checks: readonly Check[] = [
  dropCheck,
  heatCheck,
  fuseCheck,
  stallCheck,
  supplyCheck,
  ratingCheck,
  rippleCheck,
  droopCheck,
  lifeCheck,
  pumpUpCheck,
];

export interface CheckResult {
  readonly check: string;
  /** `ok` only where nothing is missing. */
  readonly state: State;
  /** Empty where nothing is missing. */
  readonly missing: readonly (InputName | 'wire')[];
  readonly findings: readonly Finding[];
  /** Empty while something is missing. Units stand at the end of each name. */
  readonly figures: Readonly<Record<string, number>>;
}

/** Runs every check. */
export function checkBench(inputs: BenchInputs): CheckResult[] {
  return checks.map((check) => resultOf(check, inputs));
}

/** The worst of several results; `unknown` is worse than `ok`, and hides no warning. */
export function overall(results: readonly Pick<CheckResult, 'state'>[]): State {
  const worst: readonly State[] = ['stop', 'warning', 'unknown'];
  return worst.find((state) => results.some((result) => result.state === state)) ?? 'ok';
}

function resultOf(check: Check, inputs: BenchInputs): CheckResult {
  const missing = check.needs.filter((need) =>
    need === 'wire' ? inputs.awg === null && inputs.areaMm2 === null : inputs[need] === null,
  );
  const { figures, findings } =
    missing.length === 0 ? check.work(inputs as Known) : { figures: {}, findings: check.already?.(inputs) ?? [] };
  const found = overall(findings);
  return {
    check: check.name,
    state: found === 'ok' && missing.length > 0 ? 'unknown' : found,
    missing,
    findings,
    figures,
  };
}
