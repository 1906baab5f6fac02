import type { Certificate } from './rotation.ts';

/** What a repair counts otherwise than the whole plan: waits from an arrival on, duties of the heats to draw. */
const countedFromThen: readonly (keyof Certificate)[] = ['sitOut', 'duty'];

/**
 * Whether a plan still is what was drawn, as far as its figures tell: heats that were changed by hand leave hardly all
 * of them the same.
 *
 * @param measured of the plan as it is
 * @param drawn as it was when the draw was taken
 */
export function isAsDrawn(measured: Certificate, drawn: Certificate): boolean {
  return criteria(measured).every((name) => countedFromThen.includes(name) || sameFigures(measured, drawn, name));
}

/**
 * The verdicts of a draw for a plan that is as drawn: they know what the draw aimed at, which heats had been run and
 * what was proved meanwhile.
 */
export function withDrawnVerdicts(measured: Certificate, drawn: Certificate): Certificate {
  const kept = criteria(measured).filter((name) => sameFigures(measured, drawn, name));
  return { ...measured, ...Object.fromEntries(kept.map((name) => [name, drawn[name]])) };
}

const criteria = (certificate: Certificate) => Object.keys(certificate) as (keyof Certificate)[];

/** What a criterion says of the heats themselves, in a fixed order. */
function figures(certificate: Certificate, name: keyof Certificate): string {
  const judged = ['bound', 'verdict', 'why', 'spreadBound'];
  const said = Object.entries(certificate[name] ?? {}).filter(([key]) => !judged.includes(key));
  return JSON.stringify(said.sort(([a], [b]) => (a < b ? -1 : 1)));
}

const sameFigures = (one: Certificate, other: Certificate, name: keyof Certificate) =>
  figures(one, name) === figures(other, name);
