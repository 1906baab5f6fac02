import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { freshSetupPath } from '../../server/clubs/actions.ts';
import { BuiltServer, chromiumPath, launchBrowser, noChromium, watchProblems } from '../helpers/browser.ts';

/**
 * A whole race night in real browsers over the built program: a director at the laptop, a timekeeper's and a driver's
 * phone, the wall, and somebody who only has the public address.
 */
describe.skipIf(chromiumPath === null)(`a race night${chromiumPath === null ? `: ${noChromium}` : ''}`, () => {
  let server: BuiltServer;
  let browser: Browser;
  const contexts: BrowserContext[] = [];
  const problems: string[][] = [];
  let director: Page;
  /** Address of the meeting. */
  let meeting = '';

  async function visitor(width = 1280, height = 800): Promise<Page> {
    const context = await browser.newContext({ viewport: { width, height } });
    contexts.push(context);
    const page = await context.newPage();
    page.setDefaultTimeout(15_000);
    problems.push((await watchProblems(page)).problems);
    return page;
  }

  beforeAll(async () => {
    server = await BuiltServer.start();
    browser = await launchBrowser();
    director = await visitor();
  }, 120_000);

  afterAll(async () => {
    await browser?.close();
    await server?.close();
  });

  test('the set-up link sets up a club', async () => {
    await director.goto(server.url + (await freshSetupPath(await server.db())));
    await director.fill('#clubName', 'Barn Owls');
    await director.fill('#trackName', 'Attic ring');
    await director.fill('#lanes', '2');
    await director.fill('#zone', 'Europe/Vienna');
    await director.click('button:has-text("Set up")');
    await director.waitForURL('**/c/barn-owls');
  });

  test('a meeting, a race, people and a rotation', async () => {
    await director.goto(`${server.url}/c/barn-owls/meetings/new`);
    await director.click('button:has-text("Open the meeting")');
    await director.waitForURL('**/meetings/*');
    meeting = director.url();
    await director.goto(`${meeting}/races/new`);
    await director.fill('#name', 'Attic cup');
    await director.check('input[name=kind][value=time]');
    await director.fill('#duration', '0:12');
    await director.click('button:has-text("Add the race")');
    await director.waitForURL('**/entries');
    await director.fill('#names', 'Bramble\nSprocket');
    await director.click('button:has-text("Enter them")');
    await director.waitForSelector('text=Sprocket');
  });

  test('a driver joins from a phone by the code on the wall', async () => {
    const wall = await visitor(1920, 1080);
    await wall.goto(`${meeting}/wall`);
    const code = /\b[A-Z2-9]{6}\b/.exec(await wall.innerText('body'))?.[0] ?? '';
    expect(code).toMatch(/^[A-Z2-9]{6}$/);
    const phone = await visitor(360, 740);
    await phone.goto(`${server.url}/j/${code}`);
    await phone.fill('input[name=nickname]', 'Pip');
    await phone.click('main button.button-primary');
    await phone.waitForURL('**/me');
    expect(await phone.innerText('body')).toContain('Pip');
  });

  test('the rotation is drawn: three drivers on two lanes', async () => {
    await director.goto(`${meeting}/races/r1/rotation`);
    await director.click('button:has-text("Show a draft")');
    await director.waitForSelector('#draft-table');
    // The search is over in a moment; until then what is shown can be taken as well.
    await director.waitForSelector('#draft-poll', { state: 'detached' });
    await director.click('button:has-text("Take this draw")');
    await director.waitForURL('**/rotation');
    await director.waitForSelector('table');
    const text = await director.innerText('main');
    for (const name of ['Bramble', 'Sprocket', 'Pip']) expect(text).toContain(name);
  });

  test('a heat with taps on a phone: laps on the wall, track call, part laps, confirmed', async () => {
    const wall = await visitor(1920, 1080);
    await wall.goto(`${meeting}/wall`);
    const phone = await visitor(360, 740);
    await phone.context().addCookies(await director.context().cookies());
    await phone.goto(`${meeting}/timekeeper`);
    await director.goto(`${meeting}/control`);
    await director.click('button:has-text("Arm heat 1")');
    await director.click('button:has-text("Start heat 1")');
    await wall.waitForSelector('text=Countdown');
    await director.waitForSelector('#press-hold');
    const tap = (lane: number) => phone.click(`[data-tap-lane="${lane}"]`);
    await tap(1);
    await tap(2);
    await phone.waitForTimeout(2300);
    await tap(1);
    await director.waitForFunction(() => document.querySelector('#desk-lane-1 .desk-laps')?.textContent === '1');
    await wall.waitForFunction(() => /\b1\b/.test(document.querySelector('main')?.textContent ?? ''));

    await director.click('#press-hold > button');
    await wall.waitForSelector('text=Track call');
    await director.click('button:has-text("Power on, go on")');
    await director.waitForSelector('#press-hold');

    // Half-typed part laps and the focus survive what still comes in.
    await director.waitForSelector('#part-1', { timeout: 30_000 });
    await director.fill('#part-1', '4');
    await tap(2);
    await director.waitForTimeout(500);
    expect(await director.inputValue('#part-1')).toBe('4');
    expect(await director.evaluate(() => document.activeElement?.id)).toBe('part-1');
    await director.fill('#part-1', '40');
    await director.click('button:has-text("Save part laps")');
    await director.click('button:has-text("Confirm heat 1")');
    await director.waitForSelector('button:has-text("Arm heat 2")');
  });

  test('two directors press the same button: one acts, the other is told', async () => {
    const other = await visitor();
    await other.context().addCookies(await director.context().cookies());
    await other.goto(`${meeting}/control`);
    await director.goto(`${meeting}/control`);
    await director.waitForTimeout(2500);
    const presses = [director, other].map((page) => page.click('button:has-text("Arm heat 2")'));
    await Promise.all(presses);
    await director.waitForTimeout(1000);
    const said = await Promise.all([director, other].map((page) => page.locator('#refused').count()));
    expect(said.reduce((sum, n) => sum + n, 0)).toBeLessThanOrEqual(1);
    for (const page of [director, other]) await page.waitForSelector('button:has-text("Start heat 2")');
  });

  test('the results are published and readable by anybody with the address', async () => {
    await director.goto(`${meeting}/results`);
    expect(await director.innerText('main')).toContain('Provisional');
    await director.click('button:has-text("Make them public")');
    await director.waitForLoadState();
    const address = await director.evaluate(
      () => [...document.querySelectorAll('a')].map((a) => a.href).find((href) => /\/r\/[\w-]{22}$/.test(href)) ?? '',
    );
    const stranger = await visitor(360, 740);
    await stranger.goto(server.url + new URL(address).pathname);
    expect(await stranger.innerText('main')).toContain('Attic cup');
    expect((await stranger.goto(`${meeting}/control`))?.status()).toBe(403);
  });

  test('every page of the night is accessible, small and large, light and dark', async () => {
    const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
    const pages = ['', '/control', '/timekeeper', '/programme', '/results', '/races/r1/rotation', '/wall', '/heats/h1'];
    const page = await visitor(360, 740);
    await page.context().addCookies(await director.context().cookies());
    const found: string[] = [];
    for (const [i, path] of pages.entries()) {
      const wide = i % 2 === 1;
      await page.setViewportSize(wide ? { width: 1280, height: 800 } : { width: 360, height: 740 });
      await page.emulateMedia({ colorScheme: i % 3 === 0 ? 'dark' : 'light' });
      await page.goto(meeting + path);
      await page.evaluate(axe);
      const serious = await page.evaluate(async () => {
        const run = (window as unknown as { axe: { run(): Promise<{ violations: Violation[] }> } }).axe.run();
        type Violation = { id: string; impact: string; nodes: { html: string }[] };
        const { violations } = await run;
        return violations
          .filter(({ impact }) => impact === 'serious' || impact === 'critical')
          .map(({ id, nodes }) => `${id}: ${nodes[0]?.html.slice(0, 120)}`);
      });
      found.push(...serious.map((what) => `${path} ${what}`));
      const sideways = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      if (sideways > 0) found.push(`${path} scrolls sideways by ${sideways} px`);
    }
    expect(found).toEqual([]);
  });

  test('without scripts: the same night by plain forms', async () => {
    const context = await browser.newContext({ javaScriptEnabled: false, viewport: { width: 360, height: 740 } });
    contexts.push(context);
    await context.addCookies(await director.context().cookies());
    const page = await context.newPage();
    page.setDefaultTimeout(15_000);
    await page.goto(`${meeting}/control`);
    await page.click('button:has-text("Start heat 2")');
    await page.waitForTimeout(5500);
    await page.goto(`${meeting}/timekeeper`);
    await page.click('button[name=lane][value="1"]');
    expect(page.url()).toContain('/timekeeper');
    await page.goto(`${meeting}/control`);
    await page.click('button:has-text("End the heat now")');
    await page.fill('#part-1', '12');
    await page.click('button:has-text("Save part laps")');
    await page.click('button:has-text("Confirm heat 2")');
    await page.goto(`${meeting}/heats/h2/rulings`);
    expect(await page.innerText('main')).toContain('Confirmed');
  });

  test('no page broke the content security policy or threw an error', () => {
    expect(problems.flat()).toEqual([]);
  });
});
