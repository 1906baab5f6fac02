import type { Certificate, Driver, Seat } from '../rotation.ts';
import { dutySpreadBound } from './bounds.ts';

/** Who may marshal which heats. */
export interface DutyNight {
  /** Everybody who may be asked, also those of other groups. */
  readonly drivers: readonly Driver[];
  readonly exempt: readonly Driver[];
  readonly heats: readonly (readonly Seat[])[];
  /** Who marshals each heat. */
  readonly marshals: readonly (readonly Driver[])[];
  /** Marshals wanted in each heat. */
  readonly wanted: number;
}

/** Marshal duty against the smallest spread that these heats allow. */
export function certifyDuty(night: DutyNight): Certificate['duty'] {
  const exempt = new Set(night.exempt);
  const duties = new Map(night.drivers.filter((driver) => !exempt.has(driver)).map((driver) => [driver, 0]));
  for (const driver of night.marshals.flat()) duties.set(driver, (duties.get(driver) ?? 0) + 1);
  const counts = [...duties.values()];
  const min = counts.length > 0 ? Math.min(...counts) : 0;
  const max = Math.max(0, ...counts);
  const shortage = Math.max(0, ...night.marshals.map((row) => night.wanted - row.length));
  const bound = dutySpreadBound(night.marshals.flat().length, counts.length);
  const verdict = max - min === bound ? 'proved best' : 'best known';
  return {
    min,
    max,
    spread: max - min,
    shortage,
    bound,
    verdict,
    why: verdict === 'proved best' ? 'theorem' : 'searched',
  };
}
