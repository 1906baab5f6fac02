import net from 'node:net';

/**
 * Connections whose end does no harm.
 *
 * postgres.js 3.4.9 takes a connection's socket away the moment it closes, also from a transaction that goes on using
 * it: the next statement, if only the transaction's own ROLLBACK, throws where nobody can catch it and ends the program
 * (its issue 1208), and statements may even reach the transaction that gets the connection next (1216). So when the
 * database goes away, a socket made here fails every statement like a broken line, stays in its place until nobody has
 * used it for a while, and only then closes. A connection with TLS is not covered: postgres.js wraps its socket.
 */

/** As long as this nothing may be written before a broken connection is given up. */
const quietMs = 1_000;
/** Where there was no connection, there is no transaction to wait for: postgres.js writes its greeting, and that is all. */
const greetingMs = 10;
const connectWithinMs = 10_000;

/** What postgres.js hands over, as far as it is used here. */
type Target = { path?: string | false; host: string[]; port: number[] };

/** For the `socket` option of postgres.js. Several hosts are tried in turn. */
export function lastingSockets(): (target: Target) => Promise<net.Socket> {
  let next = 0;
  return async ({ path, host, port }) => {
    const i = next % host.length;
    next += 1;
    const socket = new LastingSocket();
    await socket.tryToConnect(path ? { path } : { host: host[i] ?? 'localhost', port: port[i] ?? 5432 });
    return socket;
  };
}

class LastingSocket extends net.Socket {
  #state: 'connecting' | 'open' | 'ended' | 'broken' = 'connecting';
  #error: Error = Object.assign(new Error('the database closed the connection'), { code: 'CONNECTION_CLOSED' });
  #closing: NodeJS.Timeout | undefined;

  constructor() {
    super({ allowHalfOpen: true });
    this.once('end', () => this.destroy());
  }

  /** Never rejects: postgres.js would lose count of its connections. A failure shows when the socket is used. */
  tryToConnect(to: net.NetConnectOpts): Promise<void> {
    return new Promise((resolve) => {
      const failed = (error: Error) => {
        this.#error = error;
        this.#break(greetingMs);
        resolve();
      };
      this.once('error', failed);
      this.setTimeout(connectWithinMs, () =>
        this.destroy(Object.assign(new Error('no connection in time'), { code: 'ETIMEDOUT' })),
      );
      this.connect(to, () => {
        this.off('error', failed);
        this.setTimeout(0);
        this.#state = 'open';
        resolve();
      });
      // Node's connect() puts the stream's own `write` on the socket, over the one below.
      delete (this as { write?: unknown }).write;
    });
  }

  override write(...args: unknown[]): boolean {
    if (this.#state !== 'broken') return (super.write as (...args: unknown[]) => boolean)(...args);
    setImmediate(() => this.#fail());
    this.#closing?.refresh();
    return true;
  }

  override end(...args: unknown[]): this {
    if (this.#state === 'open') this.#state = 'ended';
    return (super.end as (...args: unknown[]) => this)(...args);
  }

  override emit(event: string | symbol, ...args: unknown[]): boolean {
    if (event !== 'close' || this.#state === 'ended') return super.emit(event as string, ...args);
    if (this.#state === 'open') {
      this.#break(quietMs);
      this.#fail();
    }
    return true;
  }

  #fail(): void {
    if (this.listenerCount('error') > 0) super.emit('error', this.#error);
  }

  #break(closeAfterMs: number): void {
    this.#state = 'broken';
    this.#closing = setTimeout(() => super.emit('close', false), closeAfterMs).unref();
  }
}
