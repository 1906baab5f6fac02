import path from 'node:path';
import { defineConfig } from 'vitest/config';

/** The benchmarks: plain tests with limits, one at a time, so that none slows another. */
export default defineConfig({
  root: path.resolve(import.meta.dirname, '../..'),
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  test: {
    // It starts no database before a benchmark asks for one.
    globalSetup: ['test/helpers/global-setup.ts'],
    include: ['test/bench/**/*.bench.test.ts'],
    reporters: ['default', './test/helpers/closing-line.ts'],
    pool: 'forks',
    maxWorkers: 1,
    testTimeout: 120_000,
    hookTimeout: 60_000,
  },
});
