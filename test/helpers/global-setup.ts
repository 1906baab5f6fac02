import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import path from 'node:path';
import type { TestProject } from 'vitest/node';
import { startTestServer, type TestServer } from './test-server.ts';

declare module 'vitest' {
  interface ProvidedContext {
    /** Path of a socket: whoever connects is answered with the test server, see {@link TestServerAnswer}. */
    testServerSocket: string;
  }
}

/** One JSON document, then the end. */
export type TestServerAnswer = TestServer | { error: string };

/**
 * One database server for the whole run. It is started when the first test asks for it, so that runs of pure tests do
 * not wait for it, and lives in this process, so that no test's end takes it away.
 */
export default function setup(project: TestProject): () => Promise<void> {
  const folder = mkdtempSync('/tmp/lanewise-tests-');
  const socket = path.join(folder, 'ask.sock');
  let server: ReturnType<typeof startTestServer> | null = null;
  const desk = createServer((connection) => {
    connection.on('error', () => {}); // the test was killed while it waited
    server ??= startTestServer(folder);
    const answer = (what: TestServerAnswer) => connection.end(JSON.stringify(what));
    server.then(
      ({ address, template }) => answer({ address, template }),
      (error) => answer({ error: String(error) }),
    );
  }).listen(socket);
  project.provide('testServerSocket', socket);
  return async () => {
    desk.close();
    await server?.then(
      ({ stop }) => stop(),
      () => {}, // it was never there: the tests that asked have said so
    );
    rmSync(folder, { recursive: true, force: true });
  };
}
