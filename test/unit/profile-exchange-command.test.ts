import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { sharedText } from '../../server/profiles/exchange/shared-file.ts';
import { defaultTuning, type Profile } from '../../server/profiles/model/profile.ts';
import { runCommand } from '../helpers/command.ts';

const folder = mkdtempSync(path.join(tmpdir(), 'lanewise-exchange-'));
afterAll(() => rmSync(folder, { recursive: true }));

const hash = 'e5389393d65cd413cdceb975d6a0e3bad8f54fe3e857b4cff2eeddf131755e96';
const code = 'CP1-2051Y-G500F-M0000-4P3X0-S09F4-9D';
const profile: Profile = { name: 'Rain', notes: 'Wet Friday.', ...defaultTuning };

function fileOf(content: string | object): string {
  const file = path.join(folder, `${Math.random().toString(36).slice(2)}.json`);
  writeFileSync(file, typeof content === 'string' ? content : JSON.stringify(content));
  return file;
}

describe('lanewise profile check', () => {
  test('says the setup hash of a shared file and of a profile alone', async () => {
    for (const file of [fileOf(sharedText(profile)), fileOf(profile)]) {
      const { code: exit, out, err } = await runCommand('profile', 'check', file);
      expect([exit, err]).toEqual([0, '']);
      expect(out).toContain(hash);
      expect(out).toContain('Rain');
      const json = await runCommand('profile', 'check', file, '--json');
      expect(JSON.parse(json.out)).toEqual({ ok: true, hash, name: 'Rain' });
    }
  });

  test('names the class of what is wrong, and the setting', async () => {
    const file = fileOf({ ...profile, minDrive: 601 });
    const text = await runCommand('profile', 'check', file);
    expect(text).toEqual({ code: 1, out: '', err: 'RANGE: A value is out of its range: minimum drive.\n' });
    const json = await runCommand('profile', 'check', file, '--json');
    expect(json.code).toBe(1);
    expect(JSON.parse(json.out)).toEqual({
      ok: false,
      error: 'RANGE',
      field: 'minDrive',
      sentence: 'A value is out of its range: minimum drive.',
    });
  });

  test('says so when there is no file, and when it is called wrongly', async () => {
    expect(await runCommand('profile', 'check', path.join(folder, 'none.json'))).toMatchObject({ code: 1, out: '' });
    expect(await runCommand('profile', 'check')).toMatchObject({ code: 2, out: '' });
    expect((await runCommand('profile', 'check', '--help')).out).toContain('lanewise profile read CODE');
  });
});

describe('lanewise profile code and read', () => {
  test('a code carries the settings; the name where it is asked for', async () => {
    const file = fileOf(profile);
    expect((await runCommand('profile', 'code', file)).out).toBe(`${code}\n`);
    const named = JSON.parse((await runCommand('profile', 'code', file, '--name', '--json')).out);
    expect(named).toMatchObject({ hash, qr: `CP1:${named.code.slice(4).replaceAll('-', '')}` });
    const read = JSON.parse((await runCommand('profile', 'read', named.code, '--json')).out);
    expect(read).toEqual({
      type: 'ctl-profile',
      v: 1,
      profile: { name: 'Rain', ...defaultTuning },
      hash: `sha256:${hash}`,
    });
  });

  test('what read writes, check takes', async () => {
    const { out } = await runCommand('profile', 'read', code, '--json');
    expect((await runCommand('profile', 'check', fileOf(out))).code).toBe(0);
  });

  test('a code is read as people type it', async () => {
    const typed = ['cp1', '2o51y', 'G500F-m0000', '4p3x0sO9F4', '9d'];
    const { code: exit, out } = await runCommand('profile', 'read', ...typed);
    expect(exit).toBe(0);
    expect(out).toContain('Minimum drive');
    expect(out).toMatch(/Minimum drive +8\s%/);
    expect(out).toContain(hash);
  });

  test.each([
    ['CP1-2051Y-G500F-M0000-4P3X0-S09F4-9E', 'BAD_CHECKSUM'],
    ['CP1-2051Y-G500F-M000U-4P3X0-S09F4-9D', 'BAD_CHARACTER'],
    ['CP2-2051Y-G500F-M0000-4P3X0-S09F4-9D', 'VERSION'],
    ['2051Y-G500F-M0000-4P3X0-S09F4-9D', 'NOT_A_CODE'],
    ['CP1-', 'BAD_LENGTH'],
    [`CP1-${'0'.repeat(200)}`, 'TOO_LARGE'],
  ])('%s ends with exit code 1 and %s', async (damaged, name) => {
    const { code: exit, out, err } = await runCommand('profile', 'read', damaged);
    expect([exit, out]).toEqual([1, '']);
    expect(err.startsWith(`${name}: `)).toBe(true);
  });
});
