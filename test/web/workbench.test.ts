import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { emptyClub } from '../helpers/own-pages.ts';

let t: TestApp;
let visitor: Visitor;
beforeAll(async () => {
  t = await startTestApp();
  await emptyClub(t);
  visitor = new Visitor(t.app);
});
afterAll(() => t.close());

const address = '/c/owls/workbench';

describe('the workbench', () => {
  test('is everyone’s, shows its cautions and says nothing unasked', async () => {
    const page = await visitor.get(address);
    expect(page.statusCode).toBe(200);
    expect(page.body).toContain('Fuse each lane near the supply.');
    expect(page.body).toContain('licensed electrician');
    expect(page.body).not.toContain('id="check-');
    // Examples are told, never typed in.
    expect(page.body).toContain('Such as 12.5.');
    expect(page.body).toMatch(/name="voltageV"(?![^>]*value="12\.5")/);
  });

  test('says what can be said, and what is missing for the rest', async () => {
    const { body } = await visitor.get(`${address}?voltageV=12&capacitorV=16&awg=14&currentA=`);
    expect(body).toContain('Capacitor: voltage: nothing speaks against it');
    expect(body).toContain('The voltage is 75\u00a0% of what the capacitor stands.');
    expect(body).toMatch(
      /Voltage lost in the leads: cannot say.*Missing: the length, the current and the temperature/s,
    );
    expect(body.match(/notice-ok/g)).toHaveLength(1);
    expect(body.match(/Estimate, not a release for use\./g)).toHaveLength(10);
  });

  test('the shown example finds the trap it is made for', async () => {
    const page = await visitor.get(address);
    const [, example = ''] = /href="(\/c\/owls\/workbench\?[^"]+)"/.exec(page.body) ?? [];
    const { body } = await visitor.get(example.replaceAll('&amp;', '&'));
    expect(body).toContain('Braking into the supply: stop');
    expect(body).toContain('Start on all lanes: warning');
    expect(body).not.toContain('cannot say');
    // The worst is named first.
    expect(/id="overview".*?href="#check-(\w+)"/s.exec(body)?.[1]).toBe('pumpUp');
  });

  test('a comma will do; what is no number comes back with a sentence', async () => {
    expect((await visitor.get(`${address}?voltageV=13,8&capacitorV=16`)).body).toContain('The voltage is 86.3\u00a0%');
    const wrong = await visitor.get(`${address}?voltageV=much&lanes=2.5`);
    expect(wrong.statusCode).toBe(422);
    expect(wrong.body).toContain('A number from 1 to 60, please.');
    expect(wrong.body).toContain('A whole number from 1 to 16, please.');
    expect(wrong.body).toContain('value="much"');
    expect(wrong.body).not.toContain('id="check-');
    const twoWires = await visitor.get(`${address}?awg=20&areaMm2=2.5&lengthM=1`);
    expect(twoWires.statusCode).toBe(422);
    expect(twoWires.body).toContain('Gauge and copper are of two different wires.');
  });
});
