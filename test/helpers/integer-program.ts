import loadHighs from 'highs';

/** A sum of variables with whole factors. */
export type Terms = readonly (readonly [factor: number, variable: string])[];

/** A 0-1 program, as text in the LP format that solvers read. */
export class IntegerProgram {
  readonly #rows: string[] = [];
  readonly #binaries = new Set<string>();
  readonly #objective: string[] = [];

  /** Sum of terms against a number. Empty sums are left out: they must hold by themselves. */
  add(terms: Terms, relation: '<=' | '>=' | '=', right: number): void {
    for (const [, variable] of terms) this.#binaries.add(variable);
    if (terms.length > 0) this.#rows.push(`c${this.#rows.length}: ${written(terms)} ${relation} ${right}`);
  }

  /** Adds to what is to be as small as can be. */
  minimise(terms: Terms): void {
    for (const [, variable] of terms) this.#binaries.add(variable);
    if (terms.length > 0) this.#objective.push(written(terms));
  }

  /** @param relaxed any numbers from 0 to 1 instead of only 0 and 1 */
  text(relaxed = false): string {
    const rows = this.#rows.map((row) => ` ${row}`).join('\n');
    const objective = this.#objective.join(' ') || `0 ${[...this.#binaries][0]}`;
    const names = [...this.#binaries];
    const range = relaxed ? names.map((name) => ` 0 <= ${name} <= 1`) : names.map((name) => ` ${name}`);
    const heading = relaxed ? 'Bounds' : 'Binary';
    return `Minimize\n obj: ${objective}\nSubject To\n${rows}\n${heading}\n${range.join('\n')}\nEnd\n`;
  }
}

const written = (terms: Terms) =>
  terms.map(([factor, variable]) => `${factor < 0 ? '-' : '+'} ${Math.abs(factor)} ${variable}`).join(' ');

/** The sum of variables, each once. */
export const sum = (variables: readonly string[], factor = 1): Terms =>
  variables.map((variable) => [factor, variable] as const);

/** Solves 0-1 programs exactly with HiGHS (Q. Huangfu, J. Hall, Math. Prog. Comp. 10, 2018). */
export async function exactSolver() {
  // The package declares the types of its CommonJS build only; what is imported is its ES module.
  const load = loadHighs as unknown as (typeof loadHighs)['default'];
  const highs = await load();
  return {
    /** The smallest value, or null where nothing satisfies all rows. Throws where the solver did not finish. */
    least(program: IntegerProgram): number | null {
      const solution = highs.solve(program.text(), { mip_rel_gap: 0, time_limit: 100 });
      if (solution.Status === 'Infeasible') return null;
      if (solution.Status !== 'Optimal') throw new Error(`not solved: ${solution.Status}`);
      return Math.round(solution.ObjectiveValue);
    },
    /** A number that no solution of the program lies below: the least value of the relaxed program, rounded up. */
    bound(program: IntegerProgram): number {
      const solution = highs.solve(program.text(true));
      if (solution.Status !== 'Optimal') throw new Error(`not solved: ${solution.Status}`);
      return Math.ceil(solution.ObjectiveValue - 1e-6);
    },
  };
}
