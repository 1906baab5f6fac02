import { setTimeout as sleep } from 'node:timers/promises';
import { sql as raw } from 'drizzle-orm';
import { drizzle, type PostgresJsDatabase } from 'drizzle-orm/postgres-js';
import postgres from 'postgres';
import { lastingSockets } from './lasting-socket.ts';
import * as schema from './schema/index.ts';

type Orm = PostgresJsDatabase<typeof schema>;
/** A transaction in which exactly one club's rows may be touched. */
export type ClubTx = Parameters<Parameters<Orm['transaction']>[0]>[0];

export type Database = {
  /** For the few rows that belong to no club: clubs themselves, set-up codes, the clock's anchor. */
  readonly clubless: Orm;
  /** Runs `work` in one transaction for one club. The only way to a club's rows. */
  withClub<T>(clubId: string, work: (tx: ClubTx) => Promise<T>): Promise<T>;
  /** Like {@link withClub}, but read-only and of one instant, so that several queries fit together. */
  readClub<T>(clubId: string, work: (tx: ClubTx) => Promise<T>): Promise<T>;
  /** Calls `onWord` for every notification of `channel`, and `onListen` each time listening (re)starts: what was
   * said in between is lost, so the listener must look again. */
  listen(channel: string, onWord: (payload: string) => void, onListen: () => void): Promise<() => Promise<void>>;
  /** Answers when the database does. */
  ping(): Promise<void>;
  close(): Promise<void>;
};

export type DatabaseAddress = string | postgres.Options<Record<string, never>>;

/** Connection settings that hold for every client, in the server, in commands and in tests. */
const common = {
  max: 10,
  connect_timeout: 10,
  /** Seconds before another try to connect. */
  backoff: (tries: number) => Math.min(1, 0.05 * 2 ** tries),
  onnotice: () => {},
  connection: { application_name: 'lanewise', statement_timeout: 15_000 },
};

/** Opens a pool. `address` is a `postgres://` URL or connection options, such as a socket folder. */
export function openSql(address: DatabaseAddress, options: { max?: number } = {}): postgres.Sql {
  const settings = { ...common, socket: lastingSockets(), ...options };
  return typeof address === 'string' ? postgres(address, settings) : postgres({ ...settings, ...address });
}

/** Pauses before a transaction that could not begin is tried again: a database that restarts is back in a second. */
const pausesMs = [50, 200, 500];

/** Runs a transaction; one that did not even begin, because a connection was lost, is tried again. */
async function begun<T>(transaction: (begin: () => void) => Promise<T>): Promise<T> {
  for (const pauseMs of pausesMs) {
    let hasBegun = false;
    try {
      return await transaction(() => {
        hasBegun = true;
      });
    } catch (error) {
      if (hasBegun) throw error;
      await sleep(pauseMs);
    }
  }
  return transaction(() => {});
}

/** Opens the database. Drizzle changes how its client reads types, so the client is never handed out. */
export function openDatabase(address: DatabaseAddress, options: { max?: number } = {}): Database {
  const sql = openSql(address, options);
  const orm = drizzle(sql, { schema, casing: 'snake_case' });
  const inClub = <T>(clubId: string, work: (tx: ClubTx) => Promise<T>, mode?: Parameters<Orm['transaction']>[1]) =>
    begun((begin) =>
      orm.transaction(async (tx) => {
        begin();
        // Row-level security can be switched on later without touching a store: the club is known to the transaction.
        await tx.execute(raw`select set_config('lanewise.club', ${clubId}, true)`);
        return work(tx);
      }, mode),
    );
  return {
    clubless: orm,
    withClub: (clubId, work) => inClub(clubId, work),
    readClub: (clubId, work) => inClub(clubId, work, { isolationLevel: 'repeatable read', accessMode: 'read only' }),
    async listen(channel, onWord, onListen) {
      const listening = await sql.listen(channel, onWord, onListen);
      return () => listening.unlisten();
    },
    async ping() {
      await orm.execute(raw`select 1`);
    },
    // Without a limit, closing waits for ever when the server has gone away.
    close: () => sql.end({ timeout: 5 }),
  };
}
