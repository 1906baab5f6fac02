import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { freshSetupPath } from '../../server/clubs/actions.ts';
import { BuiltServer, chromiumPath, launchBrowser, noChromium, watchProblems } from '../helpers/browser.ts';
import { axeFindings, frameFindings, sidewaysPx, targetFindings } from '../helpers/page-checks.ts';
import { readingsOf } from '../helpers/trigger-strokes.ts';

/** A controller's trigger checked in a real browser: while the unit sends, and over a cable. */
describe.skipIf(chromiumPath === null)(`a trigger's check${chromiumPath === null ? `: ${noChromium}` : ''}`, () => {
  let server: BuiltServer;
  let browser: Browser;
  let director: Page;
  let problems: string[] = [];
  /** Address of the unit. */
  let unit = '';
  let token = '';
  const readings = readingsOf({ bits: 12, rest: 1200, travel: 683, restSamples: 60, noise: 1 });

  beforeAll(async () => {
    server = await BuiltServer.start();
    browser = await launchBrowser();
    const context = await browser.newContext({ viewport: { width: 360, height: 740 } });
    director = await context.newPage();
    director.setDefaultTimeout(15_000);
    problems = (await watchProblems(director)).problems;
    await director.goto(server.url + (await freshSetupPath(await server.db())));
    await director.fill('#clubName', 'Barn Owls');
    await director.fill('#trackName', 'Attic ring');
    await director.fill('#lanes', '2');
    await director.fill('#zone', 'Europe/Vienna');
    await director.click('button:has-text("Set up")');
    await director.waitForURL('**/c/barn-owls');
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await server?.close();
  });

  const send = (seq: number, counts: readonly number[], last: boolean) =>
    fetch(`${server.url}/api/v1/units/me/samples`, {
      method: 'POST',
      headers: { authorization: `Bearer ${token}`, 'content-type': 'application/json' },
      body: JSON.stringify({ trace: 'c1', seq, bits: 12, rest_samples: readings.restSamples, counts, last }),
    });

  /** What is wrong with the page that is open, on a phone, on a narrow one and in the dark. */
  async function findings(): Promise<string[]> {
    const found = [...(await frameFindings(director)), ...(await targetFindings(director, 44))];
    for (const width of [320, 360]) {
      await director.setViewportSize({ width, height: 740 });
      const px = await sidewaysPx(director);
      if (px > 0) found.push(`scrolls sideways by ${px} px at ${width} px`);
    }
    found.push(...(await axeFindings(director)));
    await director.emulateMedia({ colorScheme: 'dark' });
    found.push(...(await axeFindings(director, ['color-contrast'])).map((what) => `in the dark: ${what}`));
    await director.emulateMedia({ colorScheme: 'light' });
    return [...found, ...problems.splice(0)].map((what) => `${director.url()}: ${what}`);
  }

  test('a unit is added and gets its token', { timeout: 60_000 }, async () => {
    await director.goto(`${server.url}/c/barn-owls/units`);
    await director.click('text=Add a controller unit');
    await director.fill('#name', 'Red grip');
    await director.selectOption('#holder', { label: 'Attic ring, lane 2' });
    expect(await findings()).toEqual([]);
    await director.click('button:has-text("Add the unit")');
    await director.waitForURL(/units\/[a-z0-9]{12}$/);
    unit = director.url();
    expect(await findings()).toEqual([]);
    await director.click('button:has-text("Make a token")');
    token = (await director.innerText('.code-block code')).trim();
    expect(token).toMatch(/^lw_unit_/);
    expect(await findings()).toEqual([]);
    await director.goto(`${unit}/sheet?begin=everything`);
    expect(await findings()).toEqual([]);
  });

  test('the page follows while the unit sends, and keeps what was found', { timeout: 60_000 }, async () => {
    await director.goto(`${unit}/check`);
    await director.waitForSelector('text=Waiting for readings.');
    expect(await findings()).toEqual([]);
    await send(0, readings.counts.slice(0, 40), false);
    await director.waitForSelector('text=40 readings so far');
    await send(40, readings.counts.slice(40, 300), false);
    await director.waitForSelector('text=300 readings so far');
    expect(await findings()).toEqual([]);
    await send(300, readings.counts.slice(300), true);
    await director.waitForSelector('text=The trigger reads well.');
    expect(await findings()).toEqual([]);
    await director.click('button:has-text("Keep this calibration")');
    await director.waitForURL('**/units/*?done=kept');
    expect(await director.innerText('main')).toContain('The calibration is kept.');
    expect(await findings()).toEqual([]);
  });

  test('the button says what it does to the calibration', { timeout: 60_000 }, async () => {
    await director.goto(unit);
    await director.click('button:has-text("was touched")');
    await director.waitForURL('**/units/*?done=touched');
    expect(await director.innerText('main')).toMatch(
      /Earlier calibrations are void[\s\S]*void since mechanical setting 2/,
    );
  });

  test('without Web Serial the page says why', { timeout: 60_000 }, async () => {
    const context = await browser.newContext();
    await context.addCookies(await director.context().cookies());
    const page = await context.newPage();
    await page.addInitScript(() => Reflect.deleteProperty(Navigator.prototype, 'serial'));
    await page.goto(`${unit}/check`);
    expect(await page.isVisible('text=This browser cannot read a serial port here.')).toBe(true);
    expect(await page.isVisible('button:has-text("Choose a port")')).toBe(false);
    await context.close();
  });

  test('over a cable, whose lines come in pieces', { timeout: 60_000 }, async () => {
    const text = `ready\n${readings.counts.map((count) => `${count}\r\n`).join('')}`;
    const context = await browser.newContext();
    await context.addCookies(await director.context().cookies());
    const page = await context.newPage();
    // A port as the standard describes it, with readings that this test knows.
    await page.addInitScript((whole: string) => {
      const pieces = whole.match(/[\s\S]{1,7}/g) ?? [];
      const port = {
        open: () => Promise.resolve(),
        close: () => Promise.resolve(),
        readable: new ReadableStream<Uint8Array>({
          pull(controller) {
            const piece = pieces.shift();
            // An open port that is silent: the person ends it.
            if (piece === undefined) return new Promise(() => {});
            controller.enqueue(new TextEncoder().encode(piece));
          },
        }),
      };
      Object.defineProperty(navigator, 'serial', { value: { requestPort: () => Promise.resolve(port) } });
    }, text);
    await page.goto(`${unit}/check`);
    expect(await page.isVisible('text=This browser cannot read a serial port here.')).toBe(false);
    await page.fill('#restSamples', String(readings.restSamples));
    await page.click('button:has-text("Choose a port and begin")');
    await page.waitForSelector(`text=${readings.counts.length} readings`);
    await page.click('button:has-text("Stop and look at the readings")');
    await page.waitForURL('**/checks/*');
    const words = await page.innerText('main');
    expect(words).toContain('The trigger reads well.');
    expect(words).toContain('over a cable');
    await context.close();
  });
});
