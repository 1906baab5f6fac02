import { vi } from 'vitest';
import { run } from '../../server/cli/run.ts';

/** Runs a command of the program and answers its exit code and what it wrote. */
export async function runCommand(...args: string[]): Promise<{ code: number; out: string; err: string }> {
  const written = { out: '', err: '' };
  const out = vi.spyOn(process.stdout, 'write').mockImplementation((chunk) => {
    written.out += chunk;
    return true;
  });
  const err = vi.spyOn(process.stderr, 'write').mockImplementation((chunk) => {
    written.err += chunk;
    return true;
  });
  try {
    return { code: await run(args), ...written };
  } finally {
    out.mockRestore();
    err.mockRestore();
  }
}
