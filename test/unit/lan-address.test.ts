import { expect, test } from 'vitest';
import { isLoopback, lanAddress } from '../../server/shared/lan-address.ts';

const v4 = (address: string, internal = false) => ({ address, family: 'IPv4', internal });

test('the address of the home network wins over bridges, and loopback is never taken', () => {
  expect(lanAddress([v4('127.0.0.1', true), v4('172.17.0.1'), v4('192.168.1.20')])).toBe('192.168.1.20');
  expect(lanAddress([v4('172.18.0.1'), v4('10.0.0.5')])).toBe('10.0.0.5');
  expect(lanAddress([v4('172.18.0.1'), v4('203.0.113.9')])).toBe('203.0.113.9');
  expect(lanAddress([v4('169.254.3.4'), v4('172.16.0.2')])).toBe('172.16.0.2');
  expect(lanAddress([v4('169.254.3.4')])).toBe('169.254.3.4');
  expect(lanAddress([v4('127.0.0.1', true), { address: 'fe80::1', family: 'IPv6', internal: false }])).toBeNull();
});

test('loopback names are told from network addresses', () => {
  for (const name of ['localhost', 'LOCALHOST', '127.0.0.1', '127.9.8.7', '::1', '[::1]'])
    expect(isLoopback(name), name).toBe(true);
  for (const name of ['192.168.1.20', 'race.local', '1.127.0.1', '127.example.org'])
    expect(isLoopback(name), name).toBe(false);
});
