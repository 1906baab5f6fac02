import type { HeatSets, Shape } from './shape.ts';

/**
 * A cyclic group that shifts a draw onto itself. Drivers are `orbits` rows of `group` drivers each (driver o * group + x
 * is place x of row o) and, where `fixed` is 1, one last driver whom no shift moves. Heats are `blocks` base blocks, each
 * shifted `group` times. With one orbit and one block this is the classic cyclic design, heat t = base block + t; a base
 * block with all differences equally often is a difference set. Several orbits and blocks: R. C. Bose, "On the
 * construction of balanced incomplete block designs", Ann. Eugen. 9 (1939), "mixed differences".
 */
export interface Symmetry {
  readonly group: number;
  readonly orbits: number;
  readonly fixed: 0 | 1;
  readonly blocks: number;
  /** Drivers in each base block. */
  readonly sizes: Int16Array;
  /** Runs of each driver. */
  readonly runs: number;
}

/** All symmetries that a draw of this shape can have, largest group first. None where runs differ. */
export function symmetriesOf(shape: Shape): Symmetry[] {
  const { drivers, heats, seats } = shape;
  const runs = shape.runs[0] as number;
  if (shape.runs.some((r) => r !== runs) || runs === 0) return [];
  const found: Symmetry[] = [];
  const small = Math.floor(seats / heats);
  const large = seats - small * heats;
  for (let group = Math.min(drivers, heats); group >= 3; group--) {
    if (heats % group !== 0 || large % group !== 0) continue;
    for (const fixed of [0, 1] as const) {
      if ((drivers - fixed) % group !== 0 || (fixed === 1 && runs % group !== 0)) continue;
      const blocks = heats / group;
      const sizes = new Int16Array(blocks).fill(small).fill(small + 1, 0, large / group);
      found.push({ group, orbits: (drivers - fixed) / group, fixed, blocks, sizes, runs });
    }
  }
  return found;
}

/**
 * Shifts base blocks round their group, in steps of `step` places: heats stand in step order, block after block within
 * each step, block b running `ahead[b]` places ahead. Where `step` is coprime to the group these are all heats.
 *
 * @param blocks base blocks, `width` places each
 * @param into where the heats are written
 */
export function develop(
  blocks: Int16Array,
  symmetry: Symmetry,
  width: number,
  step: number,
  turn: { readonly order: Int16Array; readonly ahead: Int16Array },
  into: HeatSets,
): void {
  const { group, orbits, sizes } = symmetry;
  const moved = group * orbits;
  let heat = 0;
  for (let t = 0; t < group; t++) {
    for (const b of turn.order) {
      const shift = (t * step + (turn.ahead[b] as number)) % group;
      const size = sizes[b] as number;
      for (let i = 0; i < size; i++) {
        const driver = blocks[b * width + i] as number;
        const place = (driver % group) + shift;
        const row = driver - (driver % group);
        into.members[heat * width + i] = driver >= moved ? driver : row + (place < group ? place : place - group);
      }
      into.sizes[heat] = size;
      heat++;
    }
  }
}

/** Steps that reach every place of a group, one of each pair d, group - d (which is the same order backwards). */
export function unitSteps(group: number): number[] {
  const gcd = (a: number, b: number): number => (b === 0 ? a : gcd(b, a % b));
  const steps = [];
  for (let d = 1; d <= group / 2; d++) if (gcd(d, group) === 1) steps.push(d);
  return steps;
}
