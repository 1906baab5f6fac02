import { createServer } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { openSql } from '../../db/client.ts';

type Sql = ReturnType<typeof openSql>;
let sql: Sql | null = null;

afterEach(async () => {
  await sql?.end({ timeout: 1 });
  sql = null;
});

/** A port of this machine on which nobody listens. */
async function closedPort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await new Promise((resolve) => server.once('listening', resolve));
  const address = server.address();
  await new Promise((resolve) => server.close(resolve));
  return typeof address === 'object' && address ? address.port : 1;
}

describe('a database that cannot be reached', () => {
  it('fails a statement at once where nobody listens, and again the next one', { timeout: 5_000 }, async () => {
    sql = openSql(`postgres://nobody:x@127.0.0.1:${await closedPort()}/none`, { max: 1 });
    for (let i = 0; i < 3; i++) await expect(sql`select 1`).rejects.toThrow('ECONNREFUSED');
  });

  it('fails a transaction too', { timeout: 5_000 }, async () => {
    sql = openSql(`postgres://nobody:x@127.0.0.1:${await closedPort()}/none`, { max: 1 });
    await expect(sql.begin((tx) => tx`select 1`)).rejects.toThrow('ECONNREFUSED');
  });

  it('fails a statement whose connection is closed without an answer', { timeout: 5_000 }, async () => {
    const server = createServer((socket) => socket.once('data', () => socket.destroy())).listen(0, '127.0.0.1');
    await new Promise((resolve) => server.once('listening', resolve));
    try {
      const address = server.address();
      const port = typeof address === 'object' && address ? address.port : 1;
      sql = openSql(`postgres://nobody:x@127.0.0.1:${port}/none`, { max: 1 });
      await expect(sql`select 1`).rejects.toThrow();
    } finally {
      server.close();
    }
  });
});
