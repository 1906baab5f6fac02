import { describe, expect, it } from 'vitest';
import { readConfig } from '../../server/config.ts';

const problemsOf = (env: Record<string, string>) => {
  const read = readConfig(env);
  return 'problems' in read ? read.problems : [];
};
const configOf = (env: Record<string, string>) => {
  const read = readConfig(env);
  if ('problems' in read) throw new Error(read.problems.join('\n'));
  return read.config;
};

describe('options from the environment', () => {
  it('takes what is set to nothing as not set', () => {
    const names = ['PORT', 'HOST', 'DATABASE_URL', 'LANEWISE_DATA', 'PUBLIC_URL', 'ALLOWED_HOSTS', 'TRUST_PROXY'];
    const empty = Object.fromEntries([...names, 'MIGRATE', 'LOG_LEVEL'].map((name) => [name, '']));
    expect(configOf(empty)).toEqual(configOf({}));
    expect(configOf(empty)).toMatchObject({ port: 3000, host: '0.0.0.0', publicUrl: null, migrate: true });
  });

  it.each([
    ['PORT', 'abc'],
    ['PORT', '70000'],
    ['PORT', '-1'],
    ['PORT', '80.5'],
    ['PUBLIC_URL', 'race.example.org'],
    ['PUBLIC_URL', 'ftp://race.example.org'],
    ['LOG_LEVEL', 'loud'],
    ['MIGRATE', 'maybe'],
    ['TRUST_PROXY', 'proxy'],
    ['TRUST_PROXY', '10.0.0.1,10.0.0.300'],
    ['TRUST_PROXY', '10.0.0.0/33'],
  ])('names %s=%s in one plain sentence', (name, value) => {
    expect(problemsOf({ [name]: value })).toEqual([
      expect.stringMatching(`^${name} must be (a whole number|an address|addresses or ranges|one of) .*\\.$`),
    ]);
  });

  it('takes the proxies that can be named', () => {
    const proxies = ['loopback', '10.0.0.1', '10.0.0.0/8', 'fd00::/8', '::1'];
    expect(configOf({ TRUST_PROXY: proxies.join(', ') }).trustProxy).toEqual(proxies);
  });
});
