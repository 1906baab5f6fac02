import { describe, expect, test } from 'vitest';
import { fitClub } from '../../server/pace/club-model.ts';
import { Predictor, predictLevels } from '../../server/pace/club-predict.ts';
import type { HeatRow } from '../../server/pace/heat-row.ts';
import type { DriverRow } from '../../server/pace/lap-row.ts';
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

// Source: lme4 1.1.31 on synthetic_heats.csv, as the block `synthetic_heats_vs_lmer` states model and demands.
test('the club model without learning, walk and drift is the mixed model of lme4', () => {
  const expected = references.synthetic_heats_vs_lmer.from_R;
  const data = csvColumns('synthetic_heats.csv');
  const rows = (data.y ?? []).map(
    (y, i): HeatRow => ({
      night: Number(data.night?.[i]),
      heat: data.heat?.[i] ?? '',
      startS: 0,
      track: 'T1',
      lane: Number(data.lane?.[i]),
      driver: data.driver?.[i] ?? '',
      carClass: 'C1',
      y: Number(y),
      v: 0,
      cleanLaps: 20,
    }),
  );
  const groups = new Map(
    rows.map(({ driver }, i) => [driver, data.group?.[i] === 'junior' ? 'junior' : 'adult'] as const),
  );
  const drivers = [...groups].map(([driver, group]): DriverRow => ({ driver, group, nightsBefore: 0 }));
  const model = fitClub(rows, drivers, { off: ['w', 'q', 'de', 'g'], prior: false, robust: false, tolerance: 1e-9 });

  const { a, r, s, tau } = model.components;
  close(a ** 2, expected.var_driver, 1e-4 * expected.var_driver);
  close(r ** 2, expected['var_driver:night'], 1e-4 * expected['var_driver:night']);
  close(s ** 2, expected.var_night, 1e-4 * expected.var_night);
  close(tau ** 2, expected.var_Residual, 1e-4 * expected.var_Residual);
  const { columns, centre } = model.design;
  const effect = (column: number | null | undefined) => model.solution.beta[column ?? -1] ?? Number.NaN;
  const base = centre + effect(columns.ofClass[0]);
  close(base, expected['fix_(Intercept)'], 1e-6);
  close(effect(columns.junior), expected.fix_jr, 1e-6);
  for (const { lane, logEffect } of new Predictor(model).laneEffects().slice(0, 3))
    close(logEffect, expected[`fix_lane${lane}`], 1e-6);
  const fixedEffects = 5;
  const constant = (expected.n - fixedEffects) * Math.log(2 * Math.PI);
  close(model.solution.criterion + constant, expected.criterion, 1e-4);
  const levels = predictLevels(
    model,
    drivers.map(({ driver }) => ({ driver, carClass: 'C1' })),
  );
  for (const { driver, logPace } of levels) {
    const own = logPace - base - (groups.get(driver) === 'junior' ? effect(columns.junior) : 0);
    close(own, expected.ranef_driver[driver], 1e-6);
  }
  expect(levels).toHaveLength(24);
});
