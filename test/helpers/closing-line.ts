import type { Reporter, TestModule } from 'vitest/node';

/** Ends a run with one plain line, `N passed, N failed, N skipped`: what scripts and people read first. */
export default class ClosingLine implements Reporter {
  onTestRunEnd(modules: ReadonlyArray<TestModule>): void {
    const count = { passed: 0, failed: 0, skipped: 0 };
    for (const module of modules) {
      for (const test of module.children.allTests()) {
        const state = test.result().state;
        if (state === 'pending') count.skipped += 1;
        else count[state] += 1;
      }
      // A file that could not be loaded has no tests, but it is a failure all the same.
      if (module.errors().length > 0) count.failed += 1;
    }
    process.stdout.write(`\n${count.passed} passed, ${count.failed} failed, ${count.skipped} skipped\n`);
  }
}
