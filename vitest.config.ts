import { defineConfig } from 'vitest/config';

export default defineConfig({
  // .tsx files are rendered by preact, also in tests.
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  test: {
    include: ['test/{unit,reference,web,browser,faults}/**/*.test.{ts,tsx}'],
    globalSetup: ['test/helpers/global-setup.ts'],
    reporters: ['default', './test/helpers/closing-line.ts'],
    pool: 'forks',
    maxWorkers: 2,
    testTimeout: 30_000,
    hookTimeout: 60_000,
  },
});
