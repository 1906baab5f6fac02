import { defineConfig } from 'vitest/config';

export default defineConfig({
  // .tsx files are rendered by preact, also in tests.
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  test: {
    include: ['test/{unit,reference,web,browser,faults}/**/*.test.{ts,tsx}'],
    globalSetup: ['test/helpers/global-setup.ts'],
    reporters: ['default', './test/helpers/closing-line.ts'],
    pool: 'forks',
    // One more than the cores of a small machine: browsers, pauses and the database leave a third of the time unused.
    maxWorkers: 3,
    testTimeout: 30_000,
    hookTimeout: 60_000,
  },
});
