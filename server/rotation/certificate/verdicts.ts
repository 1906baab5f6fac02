import type { Certificate, Criterion, Verdict, Why } from '../rotation.ts';
import type { Purpose } from './certify.ts';

/** What to say of a figure above its bound. */
interface Unreached {
  readonly verdict: Exclude<Verdict, 'proved best'>;
  readonly why: Why;
}

const sought: Unreached = { verdict: 'best known', why: 'searched' };
const gaveWay = (why: Why): Unreached => ({ verdict: 'compromise', why });

type Name = keyof Certificate;

/** Presets that search seek every aim; those named here count less than others, so they are a compromise. */
const lesser: Partial<Record<Purpose, Partial<Record<Name, Why>>>> = {
  opponents: { sitOut: 'for opponents' },
  equals: { sitOut: 'for opponents' },
  rest: { opponents: 'for rest' },
  balanced: { opponents: 'for balance', backToBack: 'for balance', sitOut: 'for balance' },
};

/** What else than an aim decided about all heats. */
const decided: Partial<Record<Purpose, Why>> = {
  step: 'steps',
  table: 'table',
  'kept heats': 'kept heats',
  'by hand': 'by hand',
};

/** The verdict on a figure that is above its bound. */
export function unreached(purpose: Purpose, name: Name): Unreached {
  const why = decided[purpose] ?? lesser[purpose]?.[name];
  return why === undefined ? sought : gaveWay(why);
}

/** "Proved best" where a figure equals its bound, else what the purpose of the rotation says. */
export function judge(purpose: Purpose, name: Name, achieved: number, bound: number, proof: Why): Criterion {
  return achieved === bound ? { bound, verdict: 'proved best', why: proof } : { bound, ...unreached(purpose, name) };
}
