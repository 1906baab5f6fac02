import type { ServerResponse } from 'node:http';
import { Writable } from 'node:stream';
import { describe, expect, it } from 'vitest';
import { Sink } from '../../server/live/sink.ts';

/** A connection that takes one chunk at a time, and only when told to. */
function slowConnection() {
  const taken: string[] = [];
  let take: (() => void) | null = null;
  const connection = new Writable({
    highWaterMark: 1,
    write(chunk: Buffer, _encoding, done) {
      take = () => {
        taken.push(chunk.toString());
        take = null;
        done();
      };
    },
  });
  const takeAll = async () => {
    while (take) {
      (take as () => void)();
      await new Promise((resolve) => setImmediate(resolve));
    }
  };
  return { connection, sink: new Sink(connection as unknown as ServerResponse), taken, takeAll };
}

describe('a slow screen', () => {
  it('gets the newest frame when it is ready, and none of those in between', async () => {
    const { sink, taken, takeAll } = slowConnection();
    for (const frame of ['1', '2', '3', '4']) sink.frame(Buffer.from(frame));
    await takeAll();
    expect(taken).toEqual(['1', '4']);
    sink.frame(Buffer.from('5'));
    await takeAll();
    expect(taken).toEqual(['1', '4', '5']);
  });

  it('gets every event, before the frame that is kept for it', async () => {
    const { sink, taken, takeAll } = slowConnection();
    sink.frame(Buffer.from('1'));
    sink.frame(Buffer.from('2'));
    sink.event('beat');
    await takeAll();
    expect(taken).toEqual(['1', 'beat', '2']);
  });

  it('is dropped when more than 64 kB are unsent', () => {
    const { connection, sink } = slowConnection();
    sink.frame(Buffer.alloc(65_537));
    expect(connection.destroyed).toBe(false);
    sink.frame(Buffer.from('2'));
    expect(connection.destroyed).toBe(true);
  });

  it('is not dropped for exactly 64 kB', () => {
    const { connection, sink } = slowConnection();
    sink.frame(Buffer.alloc(65_536));
    sink.frame(Buffer.from('2'));
    expect(connection.destroyed).toBe(false);
  });
});
