import { afterAll, beforeAll, expect, test } from 'vitest';
import { freshSetupPath } from '../../server/clubs/actions.ts';
import { startTestApp, type TestApp, Visitor } from '../helpers/app.ts';

let t: TestApp;
beforeAll(async () => {
  t = await startTestApp();
});
afterAll(() => t.close());

const own = { clubName: 'Barn Owls', trackName: 'Attic ring', lanes: '4', zone: 'Europe/Vienna' };

test('an empty database offers to set up a club or to open the sample club', async () => {
  const page = await new Visitor(t.app).get('/');
  expect(page.statusCode).toBe(200);
  expect(page.body).toContain('Set up your club');
  expect(page.body).toContain('sample club');
});

test('without the code nothing is set up, and the typed values come back', async () => {
  const visitor = new Visitor(t.app);
  await visitor.get('/');
  const answer = await visitor.post('/setup', { ...own, code: 'guess' });
  expect(answer.statusCode).toBe(422);
  expect(answer.body).toContain('Barn Owls');
  expect(answer.body).toContain('This set-up code is not right');
  expect((await visitor.get('/')).body).toContain('Set up your club');
});

test('the set-up link sets up a club once and signs its director in', async () => {
  const path = await freshSetupPath(t.db);
  const code = new URL(path, 'http://x').searchParams.get('code') ?? '';
  const visitor = new Visitor(t.app);
  await visitor.get(path);
  const wrong = await visitor.post('/setup', { ...own, code, lanes: '0' });
  expect(wrong.statusCode).toBe(422);
  expect(wrong.body).toContain('A number from 1 to 16.');
  const done = await visitor.post('/setup', { ...own, code });
  expect(done.statusCode).toBe(303);
  expect(done.headers.location).toBe('/c/barn-owls');
  expect((await visitor.get('/c/barn-owls/club')).body).toContain('Barn Owls');

  const other = new Visitor(t.app);
  await other.get('/c/barn-owls/enter');
  expect((await other.post('/setup', { ...own, code, clubName: 'Second' })).statusCode).toBe(422);
  expect((await other.get('/c/barn-owls/club')).statusCode).toBe(403);
});

test('a link from the terminal signs a director in, once', async () => {
  const path = await freshSetupPath(t.db);
  const code = new URL(path, 'http://x').searchParams.get('code') ?? '';
  const visitor = new Visitor(t.app);
  expect((await visitor.get(path)).body).toContain('Sign in');
  expect((await visitor.post('/c/barn-owls/enter', { code })).statusCode).toBe(303);
  expect((await visitor.get('/c/barn-owls/club')).statusCode).toBe(200);
  const again = new Visitor(t.app);
  await again.get(path);
  expect((await again.post('/c/barn-owls/enter', { code })).statusCode).toBe(403);
});

test('a change from another page is refused', async () => {
  const path = await freshSetupPath(t.db);
  const code = new URL(path, 'http://x').searchParams.get('code') ?? '';
  for (const headers of [
    { origin: 'http://evil.example' },
    { 'sec-fetch-site': 'cross-site' },
    { 'sec-fetch-site': 'same-site' },
    { origin: 'null' },
    {},
  ]) {
    const answer = await t.app.inject({
      method: 'POST',
      url: '/c/barn-owls/enter',
      headers: { ...headers, 'content-type': 'application/x-www-form-urlencoded' },
      payload: new URLSearchParams({ code }).toString(),
    });
    expect(answer.statusCode, JSON.stringify(headers)).toBe(403);
  }
});

test('every answer carries the security headers', async () => {
  for (const url of ['/', '/c/barn-owls', '/nothing-here', '/health']) {
    const { headers } = await t.app.inject({ url });
    expect(headers['content-security-policy'], url).toContain("script-src 'self'");
    expect(headers['x-content-type-options'], url).toBe('nosniff');
    expect(headers['referrer-policy'], url).toBe('same-origin');
  }
  expect((await t.app.inject({ url: '/', headers: { host: 'rebound.example' } })).statusCode).toBe(421);
});
