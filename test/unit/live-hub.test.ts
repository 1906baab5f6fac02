import http from 'node:http';
import type { AddressInfo } from 'node:net';
import Fastify, { type FastifyInstance } from 'fastify';
import fp from 'fastify-plugin';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { live } from '../../server/live/plugin.ts';
import type { Frame } from '../../server/live/renderer.ts';

/** The plugin over a doorbell that the test rings, and a topic that the test fills. */
async function startLive(frame: (n: number) => Frame | Promise<Frame>) {
  const app = Fastify({ forceCloseConnections: true });
  let word: (payload: string) => void = () => {};
  let restarted: () => void = () => {};
  const running = new Set<string>();
  let questions = 0;
  const db = {
    async listen(_channel: string, onWord: typeof word, onListen: () => void) {
      word = onWord;
      restarted = onListen;
      onListen();
      return async () => {};
    },
    async readClub() {
      questions += 1;
      return new Set(running);
    },
  };
  await app.register(
    fp(
      async (scope) => {
        scope.decorate('db', db as never);
        scope.decorate('clock', { nowUs: () => 1_800_000_000_000_000 + Math.round(performance.now() * 1000) });
        scope.decorate('securityHeaders', { 'content-security-policy': "default-src 'self'" });
        scope.decorateRequest('visitor', null);
        scope.decorateRequest('club', null);
        scope.addHook('onRequest', async (request) => {
          const who = request.headers['x-who'];
          if (typeof who !== 'string') return;
          const nobody = { driverId: null, meetingId: null, ownDevice: false };
          request.visitor = { role: 'driver', label: who, tokenHash: who, ...nobody };
          request.club = { id: 'c', slug: 'c', name: 'C', zone: 'UTC' } as never;
        });
        // A refusal as the program's own error page would answer it.
        scope.setErrorHandler((error, _request, reply) =>
          reply.code((error as { status?: number }).status ?? 500).send('refused'),
        );
      },
      { name: 'session' },
    ),
  );
  await app.register(fp(async () => {}, { name: 'security' }));
  await app.register(live);
  let rendered = 0;
  const topic = (key: string, trackId: string) => ({
    key,
    track: { clubId: 'c', trackId },
    frame: async () => {
      rendered += 1;
      return frame(rendered);
    },
  });
  app.get('/live/:key', { config: { access: 'everyone' } }, (request, reply) =>
    app.live.stream(request, reply, topic((request.params as { key: string }).key, 't')),
  );
  app.get('/mine', { config: { access: 'driver' } }, (request, reply) =>
    app.live.stream(request, reply, topic('m', 't')),
  );
  await app.listen({ port: 0, host: '127.0.0.1' });
  return {
    app,
    port: (app.server.address() as AddressInfo).port,
    ring: (payload = 'c/t') => word(payload),
    restart: () => restarted(),
    running,
    rendered: () => rendered,
    questions: () => questions,
  };
}

/** A screen: collects what arrives. One that is `asleep` connects and reads nothing. */
class Screen {
  text = '';
  status = 0;
  headers: http.IncomingHttpHeaders = {};
  ended = false;
  readonly opened: Promise<void>;
  readonly #request: http.ClientRequest;

  constructor(port: number, path: string, options: { who?: string; asleep?: boolean; method?: string } = {}) {
    const headers = options.who ? { 'x-who': options.who } : {};
    this.#request = http.request({ port, path, headers, method: options.method ?? 'GET', agent: false });
    this.opened = new Promise((resolve, reject) => {
      this.#request.on('error', reject);
      this.#request.on('response', (response) => {
        this.status = response.statusCode ?? 0;
        this.headers = response.headers;
        const end = () => {
          this.ended = true;
        };
        response.on('close', end);
        response.on('error', end);
        if (!options.asleep)
          response.on('data', (chunk) => {
            this.text += chunk;
          });
        resolve();
      });
    });
    this.#request.end();
  }

  /** Frames received so far, without the events. */
  get frames(): string[] {
    return this.text
      .split('\n\n')
      .filter((message) => message.startsWith('data: '))
      .map((message) => message.slice('data: '.length));
  }

  leave(): void {
    this.#request.on('error', () => {});
    this.#request.destroy();
  }
}

const wait = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
const html = (text: string, nextAtUs: number | null = null): Frame => ({ html: text, nextAtUs });

let app: FastifyInstance | null = null;
afterEach(async () => {
  vi.restoreAllMocks();
  await app?.close();
  app = null;
});

describe('live screens', () => {
  it('answers with the whole state at once, then with each newer one', async () => {
    let laps = 3;
    const test = await startLive(() => html(`laps ${laps}`));
    app = test.app;
    const screen = new Screen(test.port, '/live/a');
    await screen.opened;
    expect(screen.status).toBe(200);
    expect(screen.headers['content-type']).toBe('text/event-stream; charset=utf-8');
    expect(screen.headers['cache-control']).toBe('no-cache, no-transform');
    expect(screen.headers['x-accel-buffering']).toBe('no');
    expect(screen.headers['content-security-policy']).toBe("default-src 'self'");
    await vi.waitFor(() => expect(screen.frames).toEqual(['laps 3']));
    expect(screen.text).toMatch(/^event: beat\nretry: 500\ndata: 18\d{14}\n\n/);
    laps = 4;
    test.ring();
    await vi.waitFor(() => expect(screen.frames).toEqual(['laps 3', 'laps 4']));
    // Another track's bell, a word that is no key, and a bell that changes nothing: no frame.
    const before = test.rendered();
    test.ring('c/other');
    test.ring('nonsense');
    await wait(120);
    expect(test.rendered()).toBe(before);
    test.ring();
    await wait(120);
    expect(test.rendered()).toBe(before + 1);
    expect(screen.frames).toHaveLength(2);
    // Listening was interrupted: everything is looked at again.
    laps = 5;
    test.restart();
    await vi.waitFor(() => expect(screen.frames.at(-1)).toBe('laps 5'));
    screen.leave();
    await vi.waitFor(() => expect(test.app.live.size).toBe(0));
  });

  it('renders once for 200 screens, feeds them all, and ends them all within a second', async () => {
    const test = await startLive((n) => html(`<p>${n}</p>`));
    app = test.app;
    const screens = Array.from({ length: 200 }, (_, i) => new Screen(test.port, '/live/a', { who: `phone ${i}` }));
    await Promise.all(screens.map((screen) => screen.opened));
    await vi.waitFor(() => expect(screens.every((screen) => screen.frames.length === 1)).toBe(true));
    expect(test.rendered()).toBe(1);
    await wait(60);
    const rung = performance.now();
    test.ring();
    await vi.waitFor(() => expect(screens.every((screen) => screen.frames[1] === '<p>2</p>')).toBe(true), {
      interval: 2,
    });
    expect(performance.now() - rung).toBeLessThan(200);
    expect(test.rendered()).toBe(2);
    const closing = performance.now();
    await test.app.close();
    app = null;
    expect(performance.now() - closing).toBeLessThan(1000);
    await vi.waitFor(() => expect(screens.every((screen) => screen.ended)).toBe(true));
  });

  it('makes one more frame for any number of bells that ring while one is made', async () => {
    let value = 'old';
    let release: () => void = () => {};
    const test = await startLive(async (n) => {
      const seen = value;
      if (n === 2) await new Promise<void>((resolve) => (release = resolve));
      return html(`${seen} ${n}`);
    });
    app = test.app;
    const screen = new Screen(test.port, '/live/a');
    await screen.opened;
    await wait(60);
    test.ring();
    await vi.waitFor(() => expect(test.rendered()).toBe(2));
    value = 'new';
    for (let i = 0; i < 50; i += 1) test.ring();
    release();
    await vi.waitFor(() => expect(screen.frames.at(-1)).toBe('new 3'));
    await wait(150);
    expect(test.rendered()).toBe(3);
    screen.leave();
  });

  it('keeps only the newest frame for a screen that does not read, and drops it in the end', async () => {
    // Each frame is far more than the network's own buffers can hide in a few steps.
    const test = await startLive((n) => html(`${n} ${'x'.repeat(1_000_000)}`));
    app = test.app;
    const asleep = new Screen(test.port, '/live/a', { who: 'asleep', asleep: true });
    const awake = new Screen(test.port, '/live/a', { who: 'awake' });
    await Promise.all([asleep.opened, awake.opened]);
    await vi.waitFor(() => expect(test.app.live.size).toBe(2));
    for (let i = 0; i < 12 && test.app.live.size === 2; i += 1) {
      await wait(60);
      test.ring();
    }
    await vi.waitFor(() => expect(test.app.live.size).toBe(1));
    expect(awake.ended).toBe(false);
    await vi.waitFor(() => expect(awake.frames.length).toBeGreaterThan(2));
    awake.leave();
  });

  it('looks again when the frame changes by itself', async () => {
    const test = await startLive((n) => html(`n ${n}`, n === 1 ? test.app.clock.nowUs() + 150_000 : null));
    app = test.app;
    const screen = new Screen(test.port, '/live/a');
    await screen.opened;
    const begun = performance.now();
    await vi.waitFor(() => expect(screen.frames).toEqual(['n 1', 'n 2']), { interval: 5 });
    expect(performance.now() - begun).toBeGreaterThan(100);
    screen.leave();
  });

  it('refuses with an ordinary answer when the first frame fails, and goes on after a later failure', async () => {
    const test = await startLive((n) => {
      if (n === 1 || n === 3) throw new Error('the database is away');
      return html(`n ${n}`);
    });
    app = test.app;
    vi.spyOn(test.app.log, 'error').mockImplementation(() => {});
    const refused = new Screen(test.port, '/live/a');
    await refused.opened;
    expect(refused.status).toBe(500);
    expect(test.app.live.size).toBe(0);
    const screen = new Screen(test.port, '/live/a');
    await screen.opened;
    await wait(60);
    test.ring();
    await vi.waitFor(() => expect(screen.frames).toEqual(['n 2', 'n 4']), { timeout: 3000 });
    screen.leave();
  });

  it('holds six streams for a session, then says that it is busy', async () => {
    const test = await startLive(() => html('x'));
    app = test.app;
    const screens = Array.from({ length: 6 }, () => new Screen(test.port, '/live/a', { who: 'one' }));
    await Promise.all(screens.map((screen) => screen.opened));
    const seventh = new Screen(test.port, '/live/b', { who: 'one' });
    await seventh.opened;
    expect(seventh.status).toBe(503);
    const other = new Screen(test.port, '/live/b', { who: 'two' });
    await other.opened;
    expect(other.status).toBe(200);
    screens[0]?.leave();
    await vi.waitFor(() => expect(test.app.live.size).toBe(6));
    const again = new Screen(test.port, '/live/b', { who: 'one' });
    await again.opened;
    expect(again.status).toBe(200);
    for (const screen of [...screens, other, again]) screen.leave();
  });

  it('holds 300 streams in all', async () => {
    const test = await startLive(() => html('x'));
    app = test.app;
    const screens = Array.from({ length: 301 }, (_, i) => new Screen(test.port, '/live/a', { who: `w${i}` }));
    await Promise.all(screens.map((screen) => screen.opened));
    expect(screens.filter(({ status }) => status === 200)).toHaveLength(300);
    expect(screens.filter(({ status }) => status === 503)).toHaveLength(1);
    for (const screen of screens) screen.leave();
  });

  it('beats, and ends the stream of a session that is over with a word', { timeout: 20_000 }, async () => {
    const test = await startLive(() => html('x'));
    app = test.app;
    test.running.add('stays').add('goes');
    const stays = new Screen(test.port, '/mine', { who: 'stays' });
    const goes = new Screen(test.port, '/mine', { who: 'goes' });
    const everyone = new Screen(test.port, '/live/a', { who: 'goes' });
    await Promise.all([stays, goes, everyone].map((screen) => screen.opened));
    test.running.delete('goes');
    await vi.waitFor(() => expect(goes.ended).toBe(true), { timeout: 8000 });
    expect(goes.text).toMatch(/event: bye\ndata: [^\n]+\n\n$/);
    expect(test.questions()).toBe(1);
    expect(stays.ended || everyone.ended).toBe(false);
    expect(stays.text.match(/event: beat/g)).toHaveLength(2);
    stays.leave();
    everyone.leave();
  });

  it('answers HEAD without a stream', async () => {
    const test = await startLive(() => html('x'));
    app = test.app;
    const head = new Screen(test.port, '/live/a', { method: 'HEAD' });
    await head.opened;
    expect(head.status).toBe(200);
    await vi.waitFor(() => expect(head.ended).toBe(true));
    expect(test.app.live.size).toBe(0);
  });
});
