import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startTestApp, type TestApp } from '../helpers/app.ts';

let test: TestApp;
beforeAll(async () => {
  test = await startTestApp();
});
afterAll(() => test.close());

describe('an address that does not exist', () => {
  it.each(['GET', 'POST', 'PUT', 'PATCH', 'DELETE'] as const)('is 404 for a program that sends %s', async (method) => {
    for (const url of ['/api/v1/nothing', '/api/v2/crossings']) {
      const answer = await test.app.inject({ method, url });
      expect(answer.statusCode).toBe(404);
      expect(answer.json()).toMatchObject({ error: 'notFound' });
    }
  });

  it('is 404 for another method of an address that exists', async () => {
    for (const method of ['GET', 'PUT', 'DELETE'] as const) {
      expect((await test.app.inject({ method, url: '/api/v1/crossings' })).statusCode).toBe(404);
    }
  });

  it('is 404 for a form from another place', async () => {
    const headers = { 'sec-fetch-site': 'cross-site' };
    expect((await test.app.inject({ method: 'POST', url: '/nothing', headers })).statusCode).toBe(404);
    // The guard itself stands: the same at an address that exists is refused.
    expect((await test.app.inject({ method: 'POST', url: '/setup', headers })).statusCode).toBe(403);
  });
});
