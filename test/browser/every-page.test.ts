import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { may, type Role } from '../../server/accounts/roles.ts';
import { freshSetupPath } from '../../server/clubs/actions.ts';
import { startTestApp, type TestApp } from '../helpers/app.ts';
import { BuiltServer, chromiumPath, launchBrowser, noChromium, watchProblems } from '../helpers/browser.ts';
import { axeFindings, frameFindings, sidewaysPx, targetFindings } from '../helpers/page-checks.ts';
import { readingsOf } from '../helpers/trigger-strokes.ts';

type Route = TestApp['app']['accessTable'][number];
type Who = Role | 'nobody';

/**
 * Every page of the program with the sample club in it, found by following its links as each kind of visitor. The list
 * of routes is the program's own: a page that is added is checked without a word here, and one to which no link leads
 * fails the test.
 */
describe.skipIf(chromiumPath === null)(
  `every page${chromiumPath ? '' : `: ${noChromium}`}`,
  { timeout: 120_000 },
  () => {
    let server: BuiltServer;
    let browser: Browser;
    let routes: { route: Route; pattern: RegExp }[] = [];
    const visitors = new Map<Who, Visitor>();
    const seen = new Map<Route, string>();
    const findings: string[] = [];
    let home = '';

    type Visitor = { page: Page; context: BrowserContext; problems: string[] };

    async function visitor(who: Who): Promise<Visitor> {
      const context = await browser.newContext({ viewport: { width: 360, height: 740 } });
      const page = await context.newPage();
      page.setDefaultTimeout(15_000);
      const one = { page, context, problems: (await watchProblems(page)).problems };
      visitors.set(who, one);
      return one;
    }
    const of = (who: Who) => visitors.get(who) as Visitor;

    /** Looks at the page that is open: on a phone, on a narrow one, and on a screen in the dark. */
    async function look(who: Who): Promise<void> {
      const { page, problems } = of(who);
      const route = routeOf(new URL(page.url()).pathname);
      if (route) seen.set(route, new URL(page.url()).pathname);
      const found = [...(await frameFindings(page)), ...(await targetFindings(page, 44))];
      const sideways = async (width: number) => {
        await page.setViewportSize({ width, height: 740 });
        const px = await sidewaysPx(page);
        if (px > 0) found.push(`scrolls sideways by ${px} px at ${width} px`);
      };
      await sideways(320);
      await sideways(360);
      found.push(...(await axeFindings(page)));
      if (!route?.url.endsWith('/wall')) {
        // The wall measures in parts of its screen; everything else grows with the reader's type.
        await page.evaluate(() => document.documentElement.style.setProperty('font-size', '200%'));
        await sideways(1280);
        await page.evaluate(() => document.documentElement.style.removeProperty('font-size'));
      }
      if (who === 'director') {
        // The same colours for everybody: once is enough.
        await page.emulateMedia({ colorScheme: 'dark' });
        await page.setViewportSize({ width: 1280, height: 800 });
        found.push(...(await axeFindings(page, ['color-contrast'])).map((what) => `in the dark: ${what}`));
        await page.emulateMedia({ colorScheme: 'light' });
      }
      await page.setViewportSize({ width: 360, height: 740 });
      found.push(...problems.splice(0));
      findings.push(...found.map((what) => `${who} ${page.url().replace(server.url, '')}: ${what}`));
    }

    const routeOf = (path: string) => routes.find(({ pattern }) => pattern.test(path))?.route;

    /** Follows links from `starts`, one page for each route and each of `meetings`, and looks at each. */
    async function follow(
      who: Who,
      starts: readonly string[],
      looked: (route: Route, path: string) => boolean,
    ): Promise<void> {
      const { page } = of(who);
      const open = [...starts];
      const known = new Set<string>();
      for (let path = open.shift(); path !== undefined; path = open.shift()) {
        const route = routeOf(path);
        const kind = `${route?.url} ${/\/meetings\/([^/]+)/.exec(path)?.[1] ?? ''}`;
        if (!route || known.has(kind) || !may(who === 'nobody' ? null : who, route.access)) continue;
        // Of meetings only two: one still to be run, and one that was.
        if (/\/meetings\/\w{12}/.test(path) && !meetings.some((meeting) => path?.includes(meeting))) continue;
        known.add(kind);
        seen.set(route, path);
        const answer = await page.goto(server.url + path).catch(() => null);
        if (answer === null) {
          // A file to keep is no page.
          const file = await of(who).context.request.get(server.url + path);
          expect(file.status(), `${who} ${path}`).toBeLessThan(400);
          continue;
        }
        expect(answer.status(), `${who} ${path}`).toBeLessThan(400);
        const moved = answer.request().redirectedFrom() !== null;
        if (moved || !(answer.headers()['content-type'] ?? '').startsWith('text/html')) continue;
        if (looked(route, path)) await look(who);
        open.push(...(await linksOf(page)));
      }
    }

    const linksOf = (page: Page) =>
      page.evaluate(() =>
        [...document.querySelectorAll('a')]
          .map(({ href }) => new URL(href))
          .filter(({ pathname }) => !pathname.startsWith('/assets/'))
          .map(({ pathname, search }) => pathname + search),
      );
    /** The list of profiles of a driver who has some: one list is looked at, and many drivers have none. */
    async function keptProfiles(page: Page): Promise<string> {
      await page.goto(`${server.url}${home}/drivers`);
      for (const driver of (await linksOf(page)).filter((path) => /\/drivers\/\w{12}$/.test(path))) {
        await page.goto(`${server.url}${driver}/profiles`);
        if ((await linksOf(page)).some((path) => /\/profiles\/\w{12}$/.test(path))) return `${driver}/profiles`;
      }
      throw new Error('nobody in the sample club keeps a profile');
    }

    /** The meeting of tonight, and an earlier one that was run and published. */
    const meetings: string[] = [];

    beforeAll(async () => {
      const source = await startTestApp();
      routes = source.app.accessTable
        .filter(
          ({ method, url }) => method === 'GET' && !/^\/(assets|api|health)/.test(url) && !/\/live(\/|$)/.test(url),
        )
        .map((route) => ({ route, pattern: new RegExp(`^${route.url.replace(/:\w+/g, '[^/?]+')}(\\?.*)?$`) }))
        // A fixed address comes before one with a place for anything.
        .sort((a, b) => a.route.url.split(':').length - b.route.url.split(':').length);
      await source.close();
      server = await BuiltServer.start();
      browser = await launchBrowser();
      for (const who of ['director', 'timekeeper', 'driver', 'nobody'] as const) await visitor(who);
    }, 120_000);

    afterAll(async () => {
      await browser?.close();
      await server?.close();
    });

    test('before there is a club', async () => {
      const { page } = of('director');
      await page.goto(server.url);
      await look('director');
      const setup = await freshSetupPath(await server.db());
      await page.goto(server.url + setup);
      await look('director');
      await page.click('button:has-text("Open the sample club")');
      await page.waitForURL('**/c/*');
      home = new URL(page.url()).pathname;
      expect(findings.splice(0)).toEqual([]);
    });

    test('as a director', { timeout: 240_000 }, async () => {
      const { page } = of('director');
      await page.goto(`${server.url}${home}/meetings`);
      const list = (await linksOf(page)).filter((path) => /\/meetings\/\w{12}$/.test(path));
      meetings.push(...[list[0], list[1]].map((path) => path?.split('/').at(-1) ?? '-'));
      // Of the earlier meeting what differs: pages that show what was run.
      await follow(
        'director',
        [await keptProfiles(page), home, `${home}/join`, `${home}/meetings/${meetings[1]}/results`],
        ({ access }, path) => access !== 'director' || !path.includes(meetings[1] as string),
      );
      expect(findings.splice(0)).toEqual([]);
    });

    test('as a timekeeper, by the link of an invitation', async () => {
      const { page: director } = of('director');
      await director.goto(`${server.url}${home}/people`);
      await director.click('button:has-text("Invite a timekeeper")');
      await look('director');
      const { page } = of('timekeeper');
      const link = (await linksOf(director)).find((path) => path.includes('/enter?')) ?? '';
      await page.goto(server.url + link);
      await look('timekeeper');
      await page.click('button:has-text("Sign in")');
      await follow('timekeeper', [home], ({ access }) => access === 'timing');
      expect(findings.splice(0)).toEqual([]);
    });

    test('as a driver, by the code on the wall', async () => {
      const { page } = of('driver');
      await page.goto(`${server.url}${home}/meetings/${meetings[0]}/wall`);
      const join = (await linksOf(page)).find((path) => path.startsWith('/j/')) ?? '';
      await page.goto(server.url + join);
      await look('driver');
      await page.fill('input[name=nickname]', 'Turnip');
      await page.click('main button.button-primary');
      await page.waitForURL('**/me');
      await follow('driver', [home], ({ access, url }) => ['driver', 'own'].includes(access) || url.endsWith('/:club'));
      expect(findings.splice(0)).toEqual([]);
    });

    test('as somebody who only watches', async () => {
      const public_ = [...seen.values()].find((path) => /^\/r\/[^/]+$/.test(path)) ?? '-';
      // What the director saw of these pages is looked at once; for others the way there must be open.
      await follow('nobody', [home, public_], ({ url }) => /^\/r\/|\/wall$|:entry$|:club$/.test(url));
      const state = await of('nobody').context.request.get(`${server.url}${home}/meetings/${meetings[0]}/state.json`);
      expect(state.status()).toBe(200);
      seen.set(routeOf(`${home}/meetings/x/state.json`) as Route, '');
      expect(findings.splice(0)).toEqual([]);
    });

    test('a form that is wrong comes back with the focus on what is wrong', async () => {
      const { page } = of('director');
      const asks = [...seen].filter(([{ url, access }]) => access === 'director' && /\/(new|edit|settings)$/.test(url));
      expect(asks.length).toBeGreaterThan(5);
      for (const [, path] of asks) {
        await page.goto(server.url + path);
        const form = page.locator('main form:has(.button-primary)').first();
        await form.locator('input[required], textarea').first().fill('');
        await form.locator('.button-primary').first().click();
        await page.waitForFunction(() => document.activeElement?.id === 'form-errors');
        const target = (await page.getAttribute('#form-errors a', 'href')) ?? '';
        await page.keyboard.press('Tab');
        await page.keyboard.press('Enter');
        expect(await page.evaluate(() => `#${document.activeElement?.id}`), path).toBe(target);
      }
      expect(of('director').problems.splice(0)).toEqual([]);
    });

    test('a heat with the keyboard alone: targets are large, and the end stands away from the start', async () => {
      const { page } = of('director');
      const pressed = async (name: string) => {
        // The way there by Tab, as somebody without a pointer goes it.
        for (let tabs = 0; tabs < 60; tabs += 1) {
          await page.keyboard.press('Tab');
          if ((await page.evaluate(() => document.activeElement?.textContent)) === name)
            return page.keyboard.press('Enter');
        }
        throw new Error(`no button "${name}" is reached by Tab`);
      };
      const large = async (state: string) => {
        findings.push(...(await targetFindings(page, 64, 12)).map((what) => `${state}: ${what}`));
        findings.push(...(await axeFindings(page)).map((what) => `${state}: ${what}`));
        expect(await sidewaysPx(page), state).toBeLessThanOrEqual(0);
      };
      await page.goto(`${server.url}${home}/meetings/${meetings[0]}/control`);
      await page.waitForSelector('[data-live-state="live"]');
      await large('planned');
      await pressed('Arm heat 1');
      await page.waitForSelector('button:text-is("Start heat 1")');
      await large('armed');
      await pressed('Start heat 1');
      await page.waitForSelector('#press-hold', { timeout: 20_000 });
      await large('running');
      const end = await page.locator('#press-stop button').boundingBox();
      expect(end?.width).toBeGreaterThanOrEqual(96);
      expect(end?.height).toBeGreaterThanOrEqual(64);
      const call = await page.locator('#press-hold > button').boundingBox();
      expect((end?.y ?? 0) - ((call?.y ?? 0) + (call?.height ?? 0))).toBeGreaterThanOrEqual(24);
      await pressed('Track call');
      await page.waitForSelector('button:text-is("Power on, go on")');
      await large('track call');
      await pressed('Power on, go on');
      await page.waitForSelector('#press-hold');
      await pressed('End the heat now');
      await page.waitForSelector('#part-1');
      await large('ended');
      await page.focus('#part-1');
      await page.keyboard.type('25');
      await pressed('Save part laps');
      await page.waitForSelector('button:text-is("Confirm heat 1")');
      await pressed('Confirm heat 1');
      await page.waitForSelector('button:text-is("Arm heat 2")');
      await page.goto(`${server.url}${home}/meetings/${meetings[0]}/heats/h1`);
      expect(await page.innerText('main')).toContain('0.25');
      await page.goto(`${server.url}${home}/meetings/${meetings[0]}/timekeeper`);
      await large('taps');
      expect(findings.splice(0)).toEqual([]);
    });

    test('a draft of what is left to run, and what it was drawn from', async () => {
      const { page } = of('director');
      const rotation = `${home}/meetings/${meetings[0]}/races/r1/rotation`;
      await page.goto(server.url + rotation);
      await page.click('button:has-text("Show a draft")');
      await page.waitForSelector('#draft-poll', { state: 'detached', timeout: 60_000 });
      await look('director');
      await page.click('button:has-text("Take this draw")');
      await page.waitForURL(`**${rotation}`);
      const json = (await linksOf(page)).find((path) => path.endsWith('.json')) ?? '-';
      expect((await of('director').context.request.get(server.url + json)).status()).toBe(200);
      seen.set(routeOf(json) as Route, json);
      await page.goto(`${server.url}${rotation}/draft?runsPerLane=0`);
      await look('director');
      // The page says that it cannot be drawn, and so does its status.
      expect(findings.splice(0).filter((what) => !/status of 422/.test(what))).toEqual([]);
    });

    test('past laps: tables that are wrong, what is in good ones, and what came of them', async () => {
      const { page } = of('director');
      const file = (rows: readonly string[]) => ({
        name: 'laps.csv',
        mimeType: 'text/csv',
        buffer: Buffer.from(['night,heat,start_s,track,lane,driver,class,lap,time_s,flag', ...rows].join('\n')),
      });
      const laps = ['Newt', 'Wren'].flatMap((driver, d) =>
        Array.from(
          { length: 12 },
          (_, i) => `1,H1,0,Barn,${d + 1},${driver},Vans,${i + 1},${6 + d / 10 + (i % 3) / 20},`,
        ),
      );
      const send = async (rows: readonly string[]) => {
        await page.goto(`${server.url}${home}/pace/import`);
        await page.fill('#name', 'Before');
        await page.setInputFiles('#laps', file(rows));
        await page.click('button:has-text("See what is in it")');
      };
      await send(['1,H1,0,Barn,1,Newt,Vans,1,0,']);
      await page.waitForSelector('text=Nothing was saved.');
      await look('director');
      // The page says what is wrong, and so does its status.
      expect(findings.splice(0).filter((what) => !/status of 422/.test(what))).toEqual([]);
      await send(laps);
      await page.waitForURL('**/pace/import/*');
      await look('director');
      await page.click('button:has-text("Save these laps")');
      await page.waitForURL('**/pace?done=saved');
      await page.waitForSelector('#pace-poll', { state: 'detached', timeout: 60_000 });
      await look('director');
      const state = await of('director').context.request.get(`${server.url}${home}/pace/state`);
      expect(await state.text()).toContain('Drivers, Vans');
      seen.set(routeOf(`${home}/pace/state`) as Route, '');
      await page.click('summary:has-text("Remove")');
      await look('director');
      await page.click('button:has-text("Remove “Before”")');
      await page.waitForURL('**/pace?done=removed');
      await page.waitForSelector('#pace-poll', { state: 'detached', timeout: 60_000 });
      await look('director');
      expect(findings.splice(0)).toEqual([]);
    });

    test('a trigger: readings typed in, and what they show', async () => {
      const { page } = of('director');
      await page.goto(`${server.url}${home}/units/new`);
      await page.fill('#name', 'Spare grip');
      await page.click('button:has-text("Add the unit")');
      await page.waitForURL(/units\/[a-z0-9]{12}$/);
      const unit = new URL(page.url()).pathname;
      await look('director');
      await page.click('button:has-text("Make a token")');
      await look('director');
      await page.goto(`${server.url}${unit}/sheet`);
      await look('director');
      await page.goto(`${server.url}${unit}/check`);
      await look('director');
      await page.fill('#counts', '12 thirteen');
      await page.click('button:has-text("Look at these readings")');
      await page.waitForSelector('#form-errors');
      await look('director');
      // The page says what is wrong, and so does its status.
      expect(findings.splice(0).filter((what) => !/status of 422/.test(what))).toEqual([]);
      const { counts, restSamples } = readingsOf({ bits: 12, rest: 1200, travel: 683, restSamples: 60 });
      await page.fill('#restSamples', String(restSamples));
      await page.fill('#counts', counts.join('\n'));
      await page.click('button:has-text("Look at these readings")');
      await page.waitForURL('**/checks/1');
      await look('director');
      for (const path of ['check/state', 'checks/1/state']) {
        const answer = await of('director').context.request.get(`${server.url}${unit}/${path}`);
        expect(answer.status(), path).toBe(200);
        seen.set(routeOf(`${unit}/${path}`) as Route, '');
      }
      expect(findings.splice(0)).toEqual([]);
    });

    test('a profile that is handed on by a link, and one that is taken by its code', async () => {
      const { page } = of('director');
      const shared = [...seen.values()].find((path) => /\/profiles\/[^/]+\/share/.test(path)) ?? '-';
      await page.goto(server.url + shared);
      await page.click('button:has-text("Make a link")');
      await page.waitForURL('**/share?*');
      await look('director');
      const link = (await linksOf(page)).find((path) => path.startsWith('/s/')) ?? '-';
      await follow('nobody', [link], ({ url }) => url.startsWith('/s/'));
      const code = await page.innerText('#profile-code');
      const receive = [...seen.values()].find((path) => /\/drivers\/[^/]+\/profiles\/receive/.test(path)) ?? '-';
      await page.goto(server.url + receive.split('?')[0]);
      await look('director');
      await page.fill('#typed', code.toLowerCase());
      await page.click('button:has-text("Look at it")');
      await page.waitForSelector('#keep');
      await look('director');
      await page.click('button:has-text("Keep it as a new profile")');
      await page.waitForURL('**/profiles/*?saved=1');
      expect(await page.innerText('main')).toContain('From a code, settings unchanged.');
      await look('director');
      expect(findings.splice(0)).toEqual([]);
    });

    test('no page was left out', () => {
      const missed = routes.map(({ route }) => route).filter((route) => !seen.has(route));
      expect(missed.map(({ url }) => url)).toEqual([]);
    });
  },
);
