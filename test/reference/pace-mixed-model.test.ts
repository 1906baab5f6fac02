import { describe, expect, test } from 'vitest';
import { fitMixedModel, type RandomTerm } from '../../server/pace/mixed-model.ts';
import { csvColumns, references } from '../helpers/pace-references.ts';

/** What lme4 gave, as test/reference/data/pace/references.json keeps it. */
interface Lme4 {
  data: string;
  method: 'REML' | 'ML';
  fixef: Record<string, number>;
  fixef_se: number | number[];
  VarCorr: { group: string; var1: string | null; var2: string | null; variance_or_cov: number }[];
  criterion_minus2loglik: number;
  ranef: Record<string, { levels: string[] } & Record<string, number[] | string[]>>;
}

const close = (found: number | undefined, expected: number, within: number) => {
  expect(Math.abs((found ?? Number.NaN) - expected), `${found} for ${expected}`).toBeLessThanOrEqual(within);
};

/** Response, fixed columns beside the intercept, random terms; names as in the formulas of the block. */
interface Setting {
  response: string;
  slopes?: string[];
  random: { factor: string; inside?: string; group: string; columns?: string[]; correlated?: boolean }[];
}

const batch = [{ factor: 'Batch', group: 'Batch' }];
const settings: Record<string, Setting> = {
  sleepstudy_REML: {
    response: 'Reaction',
    slopes: ['Days'],
    random: [{ factor: 'Subject', group: 'Subject', columns: ['(Intercept)', 'Days'], correlated: true }],
  },
  sleepstudy_ML: {
    response: 'Reaction',
    slopes: ['Days'],
    random: [{ factor: 'Subject', group: 'Subject', columns: ['(Intercept)', 'Days'], correlated: true }],
  },
  sleepstudy_indep_REML: {
    response: 'Reaction',
    slopes: ['Days'],
    random: [
      { factor: 'Subject', group: 'Subject' },
      { factor: 'Subject', group: 'Subject.1', columns: ['Days'] },
    ],
  },
  sleepstudy_intercept_REML: {
    response: 'Reaction',
    slopes: ['Days'],
    random: [{ factor: 'Subject', group: 'Subject' }],
  },
  dyestuff_REML: { response: 'Yield', random: batch },
  dyestuff_ML: { response: 'Yield', random: batch },
  dyestuff2_REML: { response: 'Yield', random: batch },
  penicillin_REML: {
    response: 'diameter',
    random: [
      { factor: 'plate', group: 'plate' },
      { factor: 'sample', group: 'sample' },
    ],
  },
  pastes_REML: {
    response: 'strength',
    random: [
      { factor: 'cask', inside: 'batch', group: 'cask:batch' },
      { factor: 'batch', group: 'batch' },
    ],
  },
};

// Source: D. Bates, M. Mächler, B. Bolker, S. Walker 2015, J. Stat. Softw. 67(1), and lme4 1.1.31 run on their data;
// tolerances as the block `lme4` states them.
describe('mixed models give what lme4 gives', () => {
  test.each(Object.keys(settings))('%s', (name) => {
    const expected = references.lme4.from_R[name] as Lme4;
    const { response, slopes = [], random } = settings[name] as Setting;
    const data = csvColumns(expected.data);
    const numbers = (column: string) => (data[column] ?? []).map(Number);
    const column = (label: string) => (label === '(Intercept)' ? numbers(response).map(() => 1) : numbers(label));
    const terms = random.map(({ factor, inside, group, columns, correlated = false }): RandomTerm => {
      const levels = (data[factor] ?? []).map((level, i) => (inside ? `${level}:${data[inside]?.[i]}` : level));
      return { name: group, levels, correlated, ...(columns ? { columns: columns.map(column) } : {}) };
    });
    const fit = fitMixedModel({
      y: numbers(response),
      fixed: ['(Intercept)', ...slopes].map(column),
      random: terms,
      method: expected.method,
    });

    const fixed = Object.values(expected.fixef);
    for (const [i, value] of fixed.entries()) close(fit.fixed[i], value, 1e-6 * Math.abs(value));
    for (const [i, value] of [expected.fixef_se].flat().entries()) close(fit.fixedSe[i], value, 1e-3 * value);
    close(fit.criterion, expected.criterion_minus2loglik, 1e-4);
    for (const { group, var1, var2, variance_or_cov } of expected.VarCorr) {
      if (group === 'Residual') close(fit.residualVariance, variance_or_cov, 1e-3 * variance_or_cov);
      else {
        const labels = random.find((term) => term.group === group)?.columns ?? ['(Intercept)'];
        const [i, j] = [labels.indexOf(var1 ?? ''), labels.indexOf(var2 ?? var1 ?? '')];
        close(
          fit.random.find((term) => term.name === group)?.covariance[i]?.[j],
          variance_or_cov,
          1e-3 * variance_or_cov,
        );
      }
    }
    for (const { factor, inside, columns = ['(Intercept)'], group } of random) {
      const theirs = expected.ranef[inside ? `${factor}:${inside}` : factor];
      const ours = fit.random.find((term) => term.name === group);
      const sd = (c: number) => Math.sqrt(ours?.covariance[c]?.[c] ?? Number.NaN);
      for (const [c, label] of columns.entries()) {
        for (const [k, level] of (theirs?.levels ?? []).entries()) {
          const at = ours?.levels.indexOf(level) ?? -1;
          close(ours?.effects[at]?.[c], Number(theirs?.[label]?.[k]), 1e-3 * sd(c));
          const conditionalSd = Number(theirs?.[`${label}_condSD`]?.[k]);
          close(ours?.conditionalSd[at]?.[c], conditionalSd, 1e-3 * conditionalSd);
        }
        expect(theirs?.levels.length).toBeGreaterThan(1);
      }
    }
  });

  // Printed in the paper itself.
  test('the published figures of sleepstudy', () => {
    const printed = references.lme4.published_check.sleepstudy_REML;
    const data = csvColumns('sleepstudy.csv');
    const days = (data.Days ?? []).map(Number);
    const ones = days.map(() => 1);
    const fit = fitMixedModel({
      y: (data.Reaction ?? []).map(Number),
      fixed: [ones, days],
      random: [{ name: 'Subject', levels: data.Subject ?? [], columns: [ones, days], correlated: true }],
      method: 'REML',
    });
    const covariance = fit.random[0]?.covariance ?? [];
    const [intercept, slope] = [covariance[0]?.[0] ?? 0, covariance[1]?.[1] ?? 0];
    expect(fit.criterion).toBeCloseTo(printed.REML_criterion, 1);
    expect(intercept).toBeCloseTo(printed.var_subject, 2);
    expect(slope).toBeCloseTo(printed.var_days, 2);
    expect((covariance[0]?.[1] ?? 0) / Math.sqrt(intercept * slope)).toBeCloseTo(printed.corr, 2);
  });

  // Source: NIST StRD; in a balanced one-way layout the REML estimates are (MSB - MSW) / n and MSW.
  test.each(['AtmWtAg', 'SiRstv', 'SmLs01', 'SmLs04'])('variances of the balanced layout %s', (name) => {
    const data = csvColumns(`nist_${name.toLowerCase()}.csv`);
    const expected = references.nist_anova[name];
    const fit = fitMixedModel({
      y: (data.y ?? []).map(Number),
      fixed: [(data.y ?? []).map(() => 1)],
      random: [{ name: 'treatment', levels: data.treatment ?? [] }],
      method: 'REML',
    });
    const between = expected.REML_balanced_var_between;
    close(fit.random[0]?.covariance[0]?.[0], between, 1e-3 * between);
    close(fit.residualVariance, expected.REML_balanced_var_within, 1e-3 * expected.REML_balanced_var_within);
  });
});
