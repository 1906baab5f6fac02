import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { inputNames } from '../../server/workbench/inputs.ts';
import { runCommand } from '../helpers/command.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'wiring-'));
});
afterAll(() => rm(folder, { recursive: true }));

async function wiring(content: unknown, ...more: string[]) {
  const path = join(folder, 'bench.json');
  await writeFile(path, typeof content === 'string' ? content : JSON.stringify(content));
  return runCommand('wiring', path, ...more);
}

const leads = { voltageV: 12.5, awg: 16, lengthM: 1.5, currentA: 10, ambientC: 20, insulationC: 105 };

describe('lanewise wiring', () => {
  test('answers one document, with cautions', async () => {
    const { code, out } = await wiring(leads, '--json');
    expect(code).toBe(0);
    const answer = JSON.parse(out);
    expect(Object.keys(answer)).toEqual(['overall', 'checks', 'cautions']);
    expect(answer.overall).toBe('unknown');
    expect(answer.cautions.join(' ')).toMatch(/Fuse each lane.*certified supply.*licensed electrician/s);
    const drop = answer.checks.find(({ check }: { check: string }) => check === 'drop');
    expect(drop).toMatchObject({ state: 'ok', missing: [], findings: [], figures: { dropV: expect.closeTo(0.4, 2) } });
    const fuse = answer.checks.find(({ check }: { check: string }) => check === 'fuse');
    expect(fuse).toMatchObject({ state: 'unknown', missing: ['fuseA', 'driverA', 'supplyA'], figures: {} });
  });

  test('says it in words', async () => {
    const { out } = await wiring({ ...leads, supplyCanSink: false, dragPercent: 40 });
    expect(out).toMatch(/^Voltage lost in the leads: nothing speaks against it\n {2}0\.395 V are lost/);
    expect(out).toMatch(
      /\nFuse: cannot say\n {2}Missing: the fuse, what the controller stands and what the supply gives\.\n/,
    );
    expect(out).toMatch(/\nBraking into the supply: warning\n {2}Missing: .*\n {2}A chopped brake lifts the voltage/);
    expect(out).toMatch(/\nOverall: warning\.\n\nBefore you build or switch on:\n/);
  });

  test('nothing known, nothing green', async () => {
    const { checks, overall } = JSON.parse((await wiring({}, '--json')).out);
    expect(overall).toBe('unknown');
    expect(checks.every(({ state }: { state: string }) => state === 'unknown')).toBe(true);
  });

  test('refuses what it cannot read', async () => {
    expect(await wiring({ voltage: 12 })).toMatchObject({
      code: 1,
      err: expect.stringContaining('There is no "voltage"'),
    });
    expect(await wiring({ voltageV: '12' })).toMatchObject({
      code: 1,
      err: expect.stringMatching(/bench\.json: voltageV: A number from 1 to 60, please\.\n$/),
    });
    expect(await wiring({ ...leads, awg: 20, areaMm2: 2.5 })).toMatchObject({
      code: 1,
      err: expect.stringContaining('areaMm2: Gauge and copper are of two different wires.'),
    });
    expect(await wiring([])).toMatchObject({ code: 1, err: expect.stringContaining('one JSON object') });
    expect(await wiring('{')).toMatchObject({ code: 1, out: '' });
    expect(await runCommand('wiring')).toMatchObject({ code: 2, out: '' });
  });

  test('takes gauge and copper together where they are of one wire', async () => {
    const { code, out } = await wiring({ ...leads, areaMm2: 1.3 });
    expect({ code, drop: out.includes('0.395 V are lost') }).toEqual({ code: 0, drop: true });
  });

  test('help names every key', async () => {
    const { code, out } = await runCommand('wiring', '--help');
    expect(code).toBe(0);
    for (const name of inputNames) expect(out).toContain(`  ${name} `);
  });
});
