import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { freshSetupPath } from '../../server/clubs/actions.ts';
import { errorForLog, requestForLog } from '../../server/logging.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';

let t: TestApp;
let night: PlantedNight;
beforeAll(async () => {
  t = await startTestApp();
  night = await plantNight(t.db, { lanes: 2, drivers: ['Driver 1'], heats: [{ lanes: [1, 0] }] });
});
afterAll(() => t.close());

function expectGuarded(headers: Record<string, unknown> | Headers, what: string): void {
  const of = (name: string) => String((headers instanceof Headers ? headers.get(name) : headers[name]) ?? '');
  expect(of('content-security-policy'), what).toContain("default-src 'self'; script-src 'self'");
  expect(of('content-security-policy'), what).toContain("object-src 'none'; base-uri 'none'; frame-ancestors 'none'");
  expect(of('content-security-policy'), what).not.toMatch(/unsafe|\*/);
  expect(of('x-content-type-options'), what).toBe('nosniff');
  expect(of('referrer-policy'), what).toBe('same-origin');
  expect(of('x-robots-tag'), what).toBe('noindex, nofollow');
  expect(of('access-control-allow-origin'), what).toBe('');
  expect(of('server') + of('x-powered-by'), what).toBe('');
  if (/^(text|application)\//.test(of('content-type'))) expect(of('content-type'), what).toMatch(/charset=utf-8/i);
}

describe('the security headers stand on every answer', () => {
  test('on pages, files and refusals', async () => {
    const director = await signedIn(t, night.clubId, 'director');
    const cases: [url: string, status: number][] = [
      ['/', 302],
      ['/health', 200],
      ['/nothing-here', 404],
      ['/c/nobody', 404],
      ['/api/v1/nothing', 404],
      ['/assets/../package.json', 404],
      ['/assets/%2e%2e/package.json', 404],
      ['/assets/lanewise.css', 200],
      ['/c/owls/%E0%A4%A', 400],
      [night.path('control'), 200],
      [night.path('results.json'), 200],
      [night.path('races/r1/results.csv'), 200],
      [night.path('log.jsonl'), 200],
    ];
    for (const [url, status] of cases) {
      const answer = await director.get(url);
      expect(answer.statusCode, url).toBe(status);
      expectGuarded(answer.headers, url);
    }
  });

  test('on what is refused for its host, its size, its kind or its origin', async () => {
    const form = { 'content-type': 'application/x-www-form-urlencoded' };
    const refused = [
      await t.app.inject({ url: '/', headers: { host: 'rebound.example' } }),
      await t.app.inject({
        method: 'POST',
        url: '/c/owls/enter',
        headers: form,
        payload: `code=${'x'.repeat(40_000)}`,
      }),
      await t.app.inject({
        method: 'POST',
        url: '/c/owls/enter',
        headers: { 'content-type': 'text/xml' },
        payload: '<x/>',
      }),
      await t.app.inject({ method: 'POST', url: '/c/owls/enter', headers: { ...form, origin: 'http://evil.example' } }),
      await t.app.inject({ method: 'DELETE', url: '/c/owls' }),
    ];
    expect(refused.map(({ statusCode }) => statusCode)).toEqual([421, 413, 415, 403, 404]);
    for (const answer of refused) expectGuarded(answer.headers, String(answer.statusCode));
  });

  test('on a live stream', async () => {
    const address = await t.app.listen({ port: 0, host: '127.0.0.1' });
    const end = new AbortController();
    const answer = await fetch(`${address}${night.path('live/wall')}`, { signal: end.signal });
    expect(answer.headers.get('content-type')).toBe('text/event-stream; charset=utf-8');
    expectGuarded(answer.headers, 'stream');
    end.abort();
  });

  test('when the database is gone: plain words, nothing of the inside', async () => {
    const other = await startTestApp();
    await plantNight(other.db, { lanes: 2, drivers: ['Driver 1'], heats: [{ lanes: [1, 0] }] });
    await other.db.close();
    const answer = await other.app.inject({ url: '/c/owls' });
    expect(answer.statusCode).toBe(503);
    expect(answer.headers['retry-after']).toBeDefined();
    expect(answer.body).not.toMatch(/postgres|select|CONNECTION|node_modules| at /);
    expectGuarded(answer.headers, 'no database');
    await other.close();
  });
});

describe('cookies', () => {
  /** Every cookie that comes with setting up a club, from the first look on. */
  async function cookiesSet(app: TestApp): Promise<Map<string, string>> {
    const path = await freshSetupPath(app.db);
    const visitor = new Visitor(app.app);
    const code = new URL(path, 'http://x').searchParams.get('code') ?? '';
    const words = { clubName: 'Barn', trackName: 'Ring', lanes: '4', zone: 'UTC', code };
    const answers = [await visitor.get(path), await visitor.post('/setup', words)];
    expect(answers.map(({ statusCode }) => statusCode)).toEqual([200, 303]);
    const lines = answers.flatMap(({ headers }) => [headers['set-cookie'] ?? []].flat());
    return new Map(lines.map((line) => [line.split('=')[0] ?? '', line]));
  }

  test('on plain http no script reads them and no other site sends them', async () => {
    const app = await startTestApp();
    const cookies = await cookiesSet(app);
    expect([...cookies.keys()].sort()).toEqual(['lw_pre', 'lw_sid']);
    for (const line of cookies.values()) expect(line).toMatch(/; Path=\/;.*HttpOnly; SameSite=Lax$/);
    await app.close();
  });

  test('behind https they are Secure and of this host alone, and browsers are told to stay', async () => {
    const app = await startTestApp({ PUBLIC_URL: 'https://race.example.org' });
    const cookies = await cookiesSet(app);
    expect([...cookies.keys()].sort()).toEqual(['__Host-lw_pre', '__Host-lw_sid']);
    for (const line of cookies.values()) expect(line).toMatch(/; Path=\/;.*HttpOnly; Secure; SameSite=Lax$/);
    for (const line of cookies.values()) expect(line).not.toMatch(/domain=/i);
    const { headers } = await app.app.inject({ url: '/' });
    expect(headers['strict-transport-security']).toBe('max-age=31536000');
    expect(headers['content-security-policy']).toContain('upgrade-insecure-requests');
    await app.close();
  });
});

describe('the log', () => {
  const request = (url: string, params: unknown, route: string) =>
    requestForLog({ method: 'GET', url, params, routeOptions: { url: route }, ip: '::1' } as never);

  test('holds no one-time code', () => {
    expect(request('/setup?code=SECRET', {}, '/setup')).toEqual({ method: 'GET', url: '/setup', remoteAddress: '::1' });
    expect(request('/j/SECRET', { code: 'SECRET' }, '/j/:code').url).toBe('/j/:code');
    expect(request('/s/SECRET', { code: 'SECRET' }, '/s/:code').url).toBe('/s/:code');
    expect(request('/r/SECRET/x?y', { code: 'SECRET' }, '/r/:code/x').url).toBe('/r/:code/x');
  });

  test('holds no value of a statement that failed', async () => {
    const failed = await t.db
      .withClub(night.clubId, (tx) => tx.execute('select 1 / 0'))
      .catch((error: Error) => errorForLog(error));
    expect(JSON.stringify(failed)).toContain('division by zero');
    const named = errorForLog(new Error('Failed query: insert into driver values ($1)\nparams: Anna,\nBert\n    at x'));
    expect(named.message).toBe('Failed query: insert into driver values ($1)\n    at x');
  });
});
