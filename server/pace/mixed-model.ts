import { cholesky, dot, inverse, solve, solveLower, solveUpper } from './numeric/matrix.ts';
import { minimising } from './numeric/minimise.ts';

/** Random effects of one grouping factor: an intercept for each level, or any columns with a coefficient for each level. */
export interface RandomTerm {
  readonly name: string;
  /** The level of each observation. */
  readonly levels: readonly (string | number)[];
  /** Columns that get a coefficient for each level; without them, an intercept. */
  readonly columns?: readonly ArrayLike<number>[];
  /** Whether the coefficients of a level may be correlated. */
  readonly correlated?: boolean;
}

export interface MixedModel {
  readonly y: ArrayLike<number>;
  /** Columns of the fixed effects, linearly independent. */
  readonly fixed: readonly ArrayLike<number>[];
  readonly random: readonly RandomTerm[];
  readonly method: 'REML' | 'ML';
}

export interface MixedModelFit {
  readonly fixed: readonly number[];
  readonly fixedSe: readonly number[];
  readonly residualVariance: number;
  /** -2 log likelihood (ML) or restricted likelihood (REML). */
  readonly criterion: number;
  readonly random: readonly RandomFit[];
}

export interface RandomFit {
  readonly name: string;
  readonly levels: readonly (string | number)[];
  /** Covariance of the coefficients of a level. */
  readonly covariance: readonly (readonly number[])[];
  /** For each level, its coefficients. */
  readonly effects: readonly (readonly number[])[];
  /** Their standard deviations, fixed effects taken as known. */
  readonly conditionalSd: readonly (readonly number[])[];
}

/**
 * Fits a Gaussian linear mixed model with any grouping factors, nested or crossed, by minimising the profiled deviance.
 * A variance may come out as 0. Meant for up to some hundred levels: everything is dense.
 * Method: D. Bates, M. Mächler, B. Bolker, S. Walker 2015, J. Stat. Softw. 67(1), section 3.
 * @throws RangeError where columns differ in length, or fixed columns depend on each other
 */
export function fitMixedModel(model: MixedModel): MixedModelFit {
  const products = new Products(model);
  const factors = new Factors(model.random);
  const deviance = (theta: Float64Array) => solveProfiled(products, factors, theta, model.method).criterion;
  const search = minimising(deviance, factors.start(), { central: true, step: 3e-5, tolerance: 1e-11 });
  let step = search.next();
  while (!step.done) step = search.next();
  const theta = snapped(step.value.x, deviance);
  return described(products, factors, theta, model.method);
}

/** Tiny relative deviations become 0 where that costs nothing: the criterion is flat around a variance of 0. */
function snapped(theta: Float64Array, deviance: (theta: Float64Array) => number): Float64Array {
  const zeroed = theta.map((value) => (Math.abs(value) < 1e-3 ? 0 : value));
  return deviance(zeroed) <= deviance(theta) + 1e-8 ? zeroed : theta;
}

interface Term {
  readonly name: string;
  readonly levels: readonly (string | number)[];
  /** Coefficients of a level. */
  readonly width: number;
  readonly correlated: boolean;
  /** Column of the first level's first coefficient. */
  readonly at: number;
}

/** Sums of products of Z, X and the least-squares residual of y: small numbers whatever the size of y. */
class Products {
  readonly n: number;
  readonly p: number;
  readonly q: number;
  readonly terms: readonly Term[];
  readonly zz: Float64Array;
  /** X and y beside each other: p + 1 columns. */
  readonly zxy: readonly Float64Array[];
  readonly xyxy: Float64Array;
  readonly least: Float64Array;

  constructor({ y, fixed, random }: MixedModel) {
    const n = y.length;
    const x = fixed.map((column) => Float64Array.from(column));
    if (x.some((column) => column.length !== n) || random.some((term) => term.levels.length !== n))
      throw new RangeError('columns differ in length');
    this.n = n;
    this.p = x.length;
    const { coefficients, residual } = leastSquares(x, Float64Array.from(y));
    this.least = coefficients;
    const columns = [...x, residual];
    const k = columns.length;
    this.xyxy = new Float64Array(k * k);
    for (const [i, a] of columns.entries()) for (const [j, b] of columns.entries()) this.xyxy[i * k + j] = dot(a, b, n);
    const z: Float64Array[] = [];
    this.terms = random.map((term) => {
      const at = z.length;
      const width = term.columns?.length ?? 1;
      const levels = [...new Set(term.levels)];
      const place = new Map(levels.map((level, i) => [level, at + i * width]));
      for (let i = 0; i < levels.length * width; i++) z.push(new Float64Array(n));
      for (const [row, level] of term.levels.entries()) {
        for (let c = 0; c < width; c++) {
          const column = z[(place.get(level) as number) + c] as Float64Array;
          column[row] = term.columns ? (term.columns[c]?.[row] ?? Number.NaN) : 1;
        }
      }
      return { name: term.name, levels, width, correlated: term.correlated ?? false, at };
    });
    this.q = z.length;
    this.zz = new Float64Array(this.q ** 2);
    for (const [i, a] of z.entries()) for (const [j, b] of z.entries()) this.zz[i * this.q + j] = dot(a, b, n);
    this.zxy = columns.map((column) => Float64Array.from(z, (zi) => dot(zi, column, n)));
  }
}

/** Least squares by normal equations, once more on what is left. */
function leastSquares(x: readonly Float64Array[], y: Float64Array) {
  const [n, p] = [y.length, x.length];
  const l = new Float64Array(p * p);
  for (const [i, a] of x.entries()) for (const [j, b] of x.entries()) l[i * p + j] = dot(a, b, n);
  cholesky(l, p);
  const coefficients = new Float64Array(p);
  const residual = y.slice();
  for (let round = 0; round < 3; round++) {
    const more = Float64Array.from(x, (column) => dot(column, residual, n));
    solve(l, p, more);
    for (const [c, column] of x.entries()) {
      coefficients[c] = (coefficients[c] as number) + (more[c] as number);
      for (let i = 0; i < n; i++) residual[i] = (residual[i] as number) - (more[c] as number) * (column[i] as number);
    }
  }
  return { coefficients, residual };
}

/** How the parameters make the relative covariance factor of each term: diagonal, or lower triangular. */
class Factors {
  readonly #shapes: readonly { readonly width: number; readonly correlated: boolean }[];

  constructor(random: readonly RandomTerm[]) {
    this.#shapes = random.map((term) => ({ width: term.columns?.length ?? 1, correlated: term.correlated ?? false }));
  }

  start(): number[] {
    return this.#shapes.flatMap(({ width, correlated }) =>
      places(width, correlated).map(([i, j]) => (i === j ? 1 : 0)),
    );
  }

  /** The factor of each term, row by row. */
  of(theta: Float64Array): Float64Array[] {
    let next = 0;
    return this.#shapes.map(({ width, correlated }) => {
      const factor = new Float64Array(width * width);
      for (const [i, j] of places(width, correlated)) factor[i * width + j] = theta[next++] as number;
      return factor;
    });
  }
}

function places(width: number, correlated: boolean): [number, number][] {
  const all = Array.from({ length: width }, (_, i) =>
    Array.from({ length: i + 1 }, (_, j): [number, number] => [i, j]),
  );
  return all.flat().filter(([i, j]) => correlated || i === j);
}

/** Applies Λᵀ to a vector over the columns of Z. */
function applyTransposed(terms: readonly Term[], factors: readonly Float64Array[], x: Float64Array): Float64Array {
  const out = new Float64Array(x.length);
  for (const [t, { levels, width, at }] of terms.entries()) {
    const factor = factors[t] as Float64Array;
    for (let start = at; start < at + levels.length * width; start += width)
      for (let i = 0; i < width; i++)
        for (let j = 0; j <= i; j++)
          out[start + j] = (out[start + j] as number) + (factor[i * width + j] as number) * (x[start + i] as number);
  }
  return out;
}

/** Applies Λ to a vector over the columns of Z. */
function apply(terms: readonly Term[], factors: readonly Float64Array[], x: Float64Array): Float64Array {
  const out = new Float64Array(x.length);
  for (const [t, { levels, width, at }] of terms.entries()) {
    const factor = factors[t] as Float64Array;
    for (let start = at; start < at + levels.length * width; start += width)
      for (let i = 0; i < width; i++)
        for (let j = 0; j <= i; j++)
          out[start + i] = (out[start + i] as number) + (factor[i * width + j] as number) * (x[start + j] as number);
  }
  return out;
}

/** The penalised least-squares problem at given parameters; equations (35) to (42) of the paper. */
function solveProfiled(products: Products, shapes: Factors, theta: Float64Array, method: 'REML' | 'ML') {
  const { n, p, q, terms, zz, zxy, xyxy } = products;
  const factors = shapes.of(theta);
  // Λᵀ ZᵀZ Λ + I, as Λᵀ applied from both sides.
  const half = new Float64Array(q * q);
  for (let j = 0; j < q; j++) {
    const column = applyTransposed(terms, factors, zz.subarray(j * q, (j + 1) * q));
    for (let i = 0; i < q; i++) half[i * q + j] = column[i] as number;
  }
  const l = new Float64Array(q * q);
  for (let i = 0; i < q; i++) {
    l.set(applyTransposed(terms, factors, half.subarray(i * q, (i + 1) * q)), i * q);
    l[i * q + i] = (l[i * q + i] as number) + 1;
  }
  const logDetL = cholesky(l, q);
  const r = zxy.map((column) => {
    const out = applyTransposed(terms, factors, column);
    solveLower(l, q, out);
    return out;
  });
  const k = p + 1;
  const rx = new Float64Array(p * p);
  const beta = new Float64Array(p);
  for (let i = 0; i < p; i++) {
    for (let j = 0; j < p; j++)
      rx[i * p + j] = (xyxy[i * k + j] as number) - dot(r[i] as Float64Array, r[j] as Float64Array, q);
    beta[i] = (xyxy[i * k + p] as number) - dot(r[i] as Float64Array, r[p] as Float64Array, q);
  }
  const logDetX = cholesky(rx, p);
  solveLower(rx, p, beta);
  const squares = (xyxy[p * k + p] as number) - dot(r[p] as Float64Array, r[p] as Float64Array, q) - dot(beta, beta, p);
  solveUpper(rx, p, beta);
  const degrees = method === 'REML' ? n - p : n;
  const residualVariance = Math.max(squares, 0) / degrees;
  const criterion =
    logDetL + (method === 'REML' ? logDetX : 0) + degrees * (1 + Math.log(2 * Math.PI * residualVariance));
  return { factors, l, r, rx, beta, residualVariance, criterion };
}

function described(products: Products, shapes: Factors, theta: Float64Array, method: 'REML' | 'ML'): MixedModelFit {
  const { p, q, terms, least } = products;
  const { factors, l, r, rx, beta, residualVariance, criterion } = solveProfiled(products, shapes, theta, method);
  const u = (r[p] as Float64Array).slice();
  for (let c = 0; c < p; c++)
    for (let i = 0; i < q; i++) u[i] = (u[i] as number) - (r[c]?.[i] as number) * (beta[c] as number);
  solveUpper(l, q, u);
  const effects = apply(terms, factors, u);
  const spread = inverse(l, q);
  const variance = (at: number, width: number, factor: Float64Array, c: number) => {
    let sum = 0;
    for (let i = 0; i < width; i++)
      for (let j = 0; j < width; j++)
        sum +=
          (factor[c * width + i] as number) *
          (factor[c * width + j] as number) *
          (spread[(at + i) * q + at + j] as number);
    return residualVariance * sum;
  };
  const fixedVariance = inverse(rx, p);
  return {
    fixed: Array.from(beta, (value, c) => value + (least[c] as number)),
    fixedSe: Array.from(beta, (_, c) => Math.sqrt(residualVariance * (fixedVariance[c * p + c] as number))),
    residualVariance,
    criterion,
    random: terms.map(({ name, levels, width, at }, t) => {
      const factor = factors[t] as Float64Array;
      const ofLevel = <T>(of: (start: number, c: number) => T) =>
        levels.map((_, level) => Array.from({ length: width }, (_, c) => of(at + level * width, c)));
      return {
        name,
        levels,
        covariance: Array.from({ length: width }, (_, i) =>
          Array.from(
            { length: width },
            (_, j) => residualVariance * dot(factor, factor, Math.min(i, j) + 1, i * width, j * width),
          ),
        ),
        effects: ofLevel((start, c) => effects[start + c] as number),
        conditionalSd: ofLevel((start, c) => Math.sqrt(variance(start, width, factor, c))),
      };
    }),
  };
}
