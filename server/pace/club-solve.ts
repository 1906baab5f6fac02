import type { ClubDesign, DriverBlock } from './club-design.ts';
import { cholesky, dot, solveLower, solveUpper } from './numeric/matrix.ts';
import type { Components } from './pace-fit.ts';

/** One driver's cells decorrelated: with V = L Lᵀ the covariance of their means. */
export interface BlockSolution {
  readonly block: DriverBlock;
  /** L, row by row. */
  readonly l: Float64Array;
  /** L⁻¹ times the cells' mean of each column in `block.columns`, column by column. */
  readonly z: Float64Array;
  /** L⁻¹ times the cells' mean log pace. */
  readonly zy: Float64Array;
  /** Weight of each cell. */
  readonly weight: Float64Array;
}

/** Estimates given the components. */
export interface ClubSolution {
  readonly components: Components;
  /** Shared effects. */
  readonly beta: Float64Array;
  /** Cholesky factor of their precision. */
  readonly a: Float64Array;
  /** -2 log restricted likelihood, without the constant (rows - fixed effects) ln 2 pi. */
  readonly criterion: number;
  readonly blocks: readonly BlockSolution[];
}

/** The mean learning of juniors is 0 with this standard deviation before anything is seen: two nights tell little of it. */
const learningPriorSd = 0.2;

/** Variance of what nobody said: whether a driver learns, and how fast he is for that. */
const gapBetweenGroups = 0.2;

/** Covariance of a driver's ability and form in two cells. */
export function kernelOf(components: Components, block: Pick<DriverBlock, 'junior' | 'groupKnown'>) {
  const { a, q, de, w, r } = components;
  const mixture = block.groupKnown ? 0 : block.junior * (1 - block.junior) * gapBetweenGroups ** 2;
  const [own, walk, learn, byClass, half] = [a * a + mixture, q * q, de * de, w * w, (r * r) / 2];
  return {
    /** Of ability: what stays beyond the night. */
    ability: (kA: number, kB: number, eA: number, eB: number, sameClass: boolean) =>
      own + walk * Math.min(kA, kB) + learn * eA * eB + (sameClass ? byClass : 0),
    /** Of the form of a night. */
    form: (sameNight: boolean, sameClass: boolean) => (sameNight ? (sameClass ? 2 * half : half) : 0),
  };
}

/**
 * Solves the club model for given components: one Cholesky decomposition for each driver and one for the shared effects.
 * Heats of a cell enter by their weighted mean, and their scatter around it apart.
 *
 * Method: generalised least squares with the drivers' effects integrated out (D. A. Harville, J. Am. Stat. Assoc. 72, 1977,
 * 320-338), grip and drift of nights as penalised columns.
 */
export class ClubSolver {
  readonly #design: ClubDesign;
  readonly #psi: Float64Array;
  readonly #size: number;
  // Room for one driver, used again for the next.
  #l = new Float64Array(0);
  #z = new Float64Array(0);
  #zy = new Float64Array(0);
  #weight = new Float64Array(0);
  readonly #centred: Float64Array;
  // Sums without the precision of nights: they stay while only that changes.
  #sums: Sums | null = null;

  /** @param psi weight of each row beside its variance, above 0 up to 1 */
  constructor(design: ClubDesign, psi: Float64Array) {
    this.#design = design;
    this.#psi = psi;
    this.#size = design.columns.count;
    const widest = Math.max(0, ...design.blocks.map(({ columns }) => columns.length));
    const longest = Math.max(0, ...design.blocks.map(({ cells }) => cells));
    this.#l = new Float64Array(longest * longest);
    this.#z = new Float64Array(longest * widest);
    this.#zy = new Float64Array(longest);
    this.#weight = new Float64Array(longest);
    this.#centred = new Float64Array(widest);
  }

  criterion(components: Components): number {
    const { a, w, q, r, de, tau } = components;
    const key = [a, w, q, r, de, tau].join();
    if (this.#sums?.key !== key) {
      this.#sums = this.#noSums(key);
      for (const block of this.#design.blocks) this.#add(block, components, this.#sums);
    }
    return this.#solved(this.#sums, components).criterion;
  }

  /** Yields after each driver. */
  *solving(components: Components): Generator<void, ClubSolution> {
    const blocks: BlockSolution[] = [];
    const sums = this.#noSums('');
    for (const block of this.#design.blocks) {
      this.#add(block, components, sums);
      const n = block.cells;
      blocks.push({
        block,
        l: this.#l.slice(0, n * n),
        z: this.#z.slice(0, n * block.columns.length),
        zy: this.#zy.slice(0, n),
        weight: this.#weight.slice(0, n),
      });
      yield;
    }
    return { components, blocks, ...this.#solved(sums, components) };
  }

  #noSums(key: string): Sums {
    const size = this.#size;
    return { key, a: new Float64Array(size * size), rhs: new Float64Array(size), squares: 0, logs: 0 };
  }

  #add(block: DriverBlock, components: Components, sums: Sums) {
    this.#collapse(block, components.tau ** 2, sums);
    this.#decorrelate(block, components, sums);
  }

  /** Cells' weighted means into the room; scatter around them into the sums. */
  #collapse(block: DriverBlock, tau2: number, sums: Sums) {
    const { y, v } = this.#design;
    const size = this.#size;
    const [z, zy, psi, centred] = [this.#z, this.#zy, this.#psi, this.#centred];
    const { cells, rowFrom, touched, touchedFrom, values, valuesFrom, columns } = block;
    z.fill(0, 0, cells * columns.length);
    for (let c = 0; c < cells; c++) {
      const [from, to] = [rowFrom[c] as number, rowFrom[c + 1] as number];
      const first = touchedFrom[c] as number;
      const width = (touchedFrom[c + 1] as number) - first;
      let total = 0;
      let sumY = 0;
      for (let j = from, at = valuesFrom[c] as number; j < to; j++, at += width) {
        const weight = (psi[j] as number) / (tau2 + (v[j] as number));
        total += weight;
        sumY += weight * (y[j] as number);
        sums.logs -= Math.log(weight);
        for (let i = 0; i < width; i++) {
          const place = (touched[first + i] as number) * cells + c;
          z[place] = (z[place] as number) + weight * (values[at + i] as number);
        }
      }
      const meanY = sumY / total;
      zy[c] = meanY;
      this.#weight[c] = total;
      sums.logs += Math.log(total);
      for (let i = 0; i < width; i++) {
        const place = (touched[first + i] as number) * cells + c;
        z[place] = (z[place] as number) / total;
      }
      if (to - from === 1) continue;
      for (let j = from, at = valuesFrom[c] as number; j < to; j++, at += width) {
        const weight = (psi[j] as number) / (tau2 + (v[j] as number));
        const dy = (y[j] as number) - meanY;
        sums.squares += weight * dy * dy;
        for (let i = 0; i < width; i++)
          centred[i] = (values[at + i] as number) - (z[(touched[first + i] as number) * cells + c] as number);
        for (let i = 0; i < width; i++) {
          const scaled = weight * (centred[i] as number);
          if (scaled === 0) continue;
          const column = columns[touched[first + i] as number] as number;
          sums.rhs[column] = (sums.rhs[column] as number) + scaled * dy;
          for (let k = 0; k <= i; k++) {
            const place = column * size + (columns[touched[first + k] as number] as number);
            sums.a[place] = (sums.a[place] as number) + scaled * (centred[k] as number);
          }
        }
      }
    }
  }

  #decorrelate(block: DriverBlock, components: Components, sums: Sums) {
    const size = this.#size;
    const n = block.cells;
    const { attended, learning, night, carClass, columns, firstCell } = block;
    const [l, z, zy] = [this.#l, this.#z, this.#zy];
    const kernel = kernelOf(components, block);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j <= i; j++) {
        const sameClass = carClass[i] === carClass[j];
        l[i * n + j] =
          kernel.ability(
            attended[i] as number,
            attended[j] as number,
            learning[i] as number,
            learning[j] as number,
            sameClass,
          ) + kernel.form(night[i] === night[j], sameClass);
      }
      l[i * n + i] = (l[i * n + i] as number) + 1 / (this.#weight[i] as number);
    }
    sums.logs += cholesky(l, n);
    solveLower(l, n, zy);
    sums.squares += dot(zy, zy, n);
    for (let c = 0; c < columns.length; c++) {
      const first = firstCell[c] as number;
      solveLower(l, n, z, c * n, first);
      const column = columns[c] as number;
      sums.rhs[column] = (sums.rhs[column] as number) + dot(z, zy, n - first, c * n + first, first);
      for (let k = 0; k <= c; k++) {
        const from = Math.max(first, firstCell[k] as number);
        const place = column * size + (columns[k] as number);
        sums.a[place] = (sums.a[place] as number) + dot(z, z, n - from, c * n + from, k * n + from);
      }
    }
  }

  #solved(sums: Sums, { s, g }: Components) {
    const size = this.#size;
    const { columns } = this.#design;
    const a = sums.a.slice();
    let criterion = sums.logs + sums.squares;
    const learning = columns.learning;
    if (learning !== null)
      a[learning * size + learning] = (a[learning * size + learning] as number) + learningPriorSd ** -2;
    for (let i = columns.firstGrip; i < size; i++) {
      const sd = (i - columns.firstGrip) % columns.perGrip === 0 ? s : g;
      a[i * size + i] = (a[i * size + i] as number) + sd ** -2;
      criterion += 2 * Math.log(sd);
    }
    const beta = sums.rhs.slice();
    criterion += cholesky(a, size);
    solveLower(a, size, beta);
    criterion -= dot(beta, beta, size);
    solveUpper(a, size, beta);
    return { a, beta, criterion };
  }
}

interface Sums {
  readonly key: string;
  readonly a: Float64Array;
  readonly rhs: Float64Array;
  squares: number;
  logs: number;
}

/** What is left of each row when shared effects and the driver's own in its cell are taken off. */
export function residuals(design: ClubDesign, { beta, blocks }: ClubSolution): Float64Array {
  const out = new Float64Array(design.y.length);
  for (const solution of blocks) {
    const { cells, rowFrom, touched, touchedFrom, values, valuesFrom, columns } = solution.block;
    const effects = cellEffects(solution, beta);
    for (let c = 0; c < cells; c++) {
      const first = touchedFrom[c] as number;
      const width = (touchedFrom[c + 1] as number) - first;
      let at = valuesFrom[c] as number;
      for (let j = rowFrom[c] as number; j < (rowFrom[c + 1] as number); j++, at += width) {
        let fitted = effects[c] as number;
        for (let i = 0; i < width; i++)
          fitted += (values[at + i] as number) * (beta[columns[touched[first + i] as number] as number] as number);
        out[j] = (design.y[j] as number) - fitted;
      }
    }
  }
  return out;
}

/** The driver's own part of log pace in each cell, ability and form: its mean residual, less V⁻¹ that over its weight. */
export function cellEffects(solution: BlockSolution, beta: Float64Array): Float64Array {
  const { block, l, weight } = solution;
  const white = whitened(solution, beta);
  const left = white.slice();
  solveUpper(l, block.cells, left);
  return left.map((value, c) => dot(l, white, c + 1, c * block.cells) - value / (weight[c] as number));
}

/** L⁻¹ times the cells' mean log pace without the shared effects. */
export function whitened({ block, z, zy }: BlockSolution, beta: Float64Array): Float64Array {
  const { cells, columns, firstCell } = block;
  const out = zy.slice();
  for (let c = 0; c < columns.length; c++) {
    const effect = beta[columns[c] as number] as number;
    for (let i = firstCell[c] as number; i < cells; i++)
      out[i] = (out[i] as number) - effect * (z[c * cells + i] as number);
  }
  return out;
}
