import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { insertSession } from '../../server/accounts/store.ts';
import { hashSecret, newSecret } from '../../server/accounts/tokens.ts';
import { addProfile } from '../../server/profiles/actions.ts';
import type { Profile } from '../../server/profiles/model/profile.ts';
import { selectVersions } from '../../server/profiles/store.ts';
import { profileEditor } from '../../views/texts/en/profile-editor.ts';
import { BuiltServer, chromiumPath, launchBrowser, noChromium, watchProblems } from '../helpers/browser.ts';
import { axeFindings, sidewaysPx, targetFindings } from '../helpers/page-checks.ts';
import { plantNight } from '../helpers/planted-night.ts';
import { profileWith } from '../helpers/profile-forms.ts';

/** The page on which a profile is edited, with a mouse, with keys alone, and without scripts. */
describe.skipIf(chromiumPath === null)(
  `editing a profile${chromiumPath ? '' : `: ${noChromium}`}`,
  { timeout: 60_000 },
  () => {
    let server: BuiltServer;
    let browser: Browser;
    let secret: string;
    let address: string;
    let profileId: string;

    beforeAll(async () => {
      server = await BuiltServer.start();
      browser = await launchBrowser();
      const db = await server.db();
      const n = await plantNight(db, { slug: 'edit', lanes: 2, drivers: ['Brisk Otter'], heats: [{ lanes: [1, 0] }] });
      secret = newSecret();
      await db.withClub(n.clubId, (tx) =>
        insertSession(tx, {
          clubId: n.clubId,
          tokenHash: hashSecret(secret),
          role: 'driver',
          label: 'Brisk Otter',
          driverId: 'd1',
          meetingId: null,
          hours: 1,
        }),
      );
    }, 120_000);
    afterAll(async () => {
      await browser?.close();
      await server?.close();
    });

    /** Every test has a profile of its own. */
    beforeEach(async () => plant({}));

    async function plant(set: Partial<Profile>): Promise<void> {
      const first = { setup: profileWith(set), note: '', author: 'Brisk Otter', origin: null };
      const place = { driverId: 'd1', carId: null, trackId: null };
      const made = await (await server.db()).withClub('edit', (tx) => addProfile(tx, 'edit', { ...place, ...first }));
      if (!('id' in made)) throw new Error(made.refused);
      profileId = made.id;
      address = `${server.url}/c/edit/profiles/${made.id}`;
    }

    const problems = new WeakMap<Page, string[]>();

    async function open(options: Parameters<Browser['newContext']>[0] = {}): Promise<Page> {
      const context: BrowserContext = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
      // As server/plugins/session.ts names it over plain http.
      await context.addCookies([{ name: 'lw_sid', value: secret, url: server.url }]);
      const page = await context.newPage();
      page.setDefaultTimeout(10_000);
      if (options.javaScriptEnabled !== false) problems.set(page, (await watchProblems(page)).problems);
      await page.goto(address);
      await page.evaluate(() => document.fonts.ready);
      return page;
    }

    async function done(page: Page): Promise<void> {
      expect(problems.get(page) ?? []).toEqual([]);
      await page.context().close();
    }

    const latest = async () =>
      (await (await server.db()).readClub('edit', (tx) => selectVersions(tx, 'edit', profileId)))[0];
    const changes = (page: Page) => page.locator('#profile-changes li');

    /** Takes a handle at its middle and lets it go at a place of the picture; shares of trigger and drive. */
    async function dragTo(page: Page, handle: string, trigger: number, drive: number, letGo = true): Promise<void> {
      const knob = await page.locator(`#handle-${handle} .plot-knob`).boundingBox();
      const plot = await page.locator('#curve-handles').evaluate((svg) => {
        const { x, y, width, height } = svg.getBoundingClientRect();
        return { x, y, width, height };
      });
      if (!knob) throw new Error(`no handle ${handle}`);
      await page.mouse.move(knob.x + knob.width / 2, knob.y + knob.height / 2);
      await page.mouse.down();
      await page.mouse.move(plot.x + trigger * plot.width, plot.y + (1 - drive) * plot.height, { steps: 8 });
      if (letGo) await page.mouse.up();
    }

    test('a handle is dragged, the pictures follow, and it is saved', async () => {
      const page = await open();
      await dragTo(page, 'shape', 0.51, 0.3, false);
      // Still held: the picture has followed, and the handle is where the pointer is.
      await page.waitForSelector('#throttle-lines .plot-other');
      const shape = Number(await page.inputValue('#shape'));
      expect(shape).toBeLessThan(-40);
      expect(await page.inputValue('#shape-slider')).toBe(String(shape));
      await page.mouse.up();
      await dragTo(page, 'max', 1, 0.8);
      expect(await page.inputValue('#maxDrive')).toBe('80');
      await expect.poll(() => changes(page).count()).toBeGreaterThan(1);
      await page.click(`button:has-text("${profileEditor.save}")`);
      await page.waitForURL('**?saved=2');
      expect(await latest()).toMatchObject({ version: 2, setup: { maxDrive: 800, curve: { kind: 'shape', shape } } });
      await done(page);
    });

    test('Escape puts a dragged handle back, and the whole form goes back to what was saved', async () => {
      const page = await open();
      await dragTo(page, 'min', 0, 0.4, false);
      expect(await page.inputValue('#minDrive')).toBe('40');
      await page.keyboard.press('Escape');
      await page.mouse.up();
      expect(await page.inputValue('#minDrive')).toBe('8');
      await page.fill('#rampUpMs', '200');
      await page.waitForSelector('#profile-changes li');
      await page.click(`button:has-text("${profileEditor.undo}")`);
      await expect.poll(() => changes(page).count()).toBe(0);
      expect(await page.inputValue('#rampUpMs')).toBe('0');
      expect(await page.inputValue('#rampUpMs-slider')).toBe('0');
      await done(page);
    });

    test('a finger on a handle holds it, and beside it scrolls the page', async () => {
      const page = await open({ viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true });
      const fingers = await page.context().newCDPSession(page);
      const swipe = async (x: number, y: number, up: number) => {
        await fingers.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [{ x, y }] });
        for (let step = 1; step <= 10; step += 1) {
          const at = { x, y: y - (step * up) / 10 };
          await fingers.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: [at] });
        }
        await fingers.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
      };
      const scrolled = () => page.evaluate(() => Math.round(window.scrollY));
      await page.evaluate(() => {
        document.getElementById('handle-shape')?.scrollIntoView({ block: 'center', behavior: 'instant' });
      });
      const before = await scrolled();
      const handle = await page.locator('#handle-shape .plot-reach').boundingBox();
      if (!handle) throw new Error('no handle');
      const [x, y] = [handle.x + handle.width / 2, handle.y + handle.height / 2];
      await swipe(x, y, 50);
      expect(Number(await page.inputValue('#shape'))).toBeGreaterThan(20);
      expect(await scrolled()).toBe(before);
      await swipe(x + 80, y + 60, 100);
      await expect.poll(scrolled).toBeGreaterThan(before + 50);
      await done(page);
    });

    test('with keys alone: a point of the curve, a slider, and saving', async () => {
      await plant({
        curve: {
          kind: 'points',
          points: [
            [0, 0],
            [400, 300],
            [1000, 1000],
          ],
        },
      });
      const page = await open();
      const tabTo = async (selector: string) => {
        for (let tabs = 0; tabs < 80; tabs += 1) {
          if (await page.locator(selector).evaluate((element) => element === document.activeElement)) return;
          await page.keyboard.press('Tab');
        }
        throw new Error(`Tab never reached ${selector}`);
      };
      await tabTo('#handle-1');
      for (const key of ['ArrowUp', 'ArrowUp', 'ArrowRight', 'PageUp']) await page.keyboard.press(key);
      expect(await page.inputValue('#point1x')).toBe('41');
      expect(await page.inputValue('#point1y')).toBe('42');
      // The preview came and went, and the handle still has the focus.
      await page.waitForSelector('#throttle-lines .plot-other');
      await tabTo('#handle-1');
      expect(await page.getAttribute('#handle-1', 'aria-valuetext')).toBe('trigger 42.2 %, drive 46.6 %');
      await tabTo('#brakeFull-slider');
      for (let presses = 0; presses < 4; presses += 1) await page.keyboard.press('ArrowLeft');
      expect(await page.inputValue('#brakeFull')).toBe('98');
      await tabTo(`button:has-text("${profileEditor.save}")`);
      await page.keyboard.press('Enter');
      await page.waitForURL('**?saved=2');
      const curve = {
        kind: 'points',
        points: [
          [0, 0],
          [410, 420],
          [1000, 1000],
        ],
      };
      expect(await latest()).toMatchObject({ setup: { curve, brakeFull: 980 } });
      await done(page);
    });

    test('points are added and taken away; they go on from the curve they replace', async () => {
      const page = await open();
      await page.fill('#shape', '50');
      await page.click('#settings-points summary');
      await page.check('input[name=curveKind][value=points]');
      expect(await page.inputValue('#point2y')).toBe('73.9');
      expect(await page.locator('.point:visible').count()).toBe(3);
      await page.click(`button:has-text("${profileEditor.points.add}")`);
      expect(await page.locator('.point:visible').count()).toBe(4);
      expect(await page.evaluate(() => document.activeElement?.id)).toBe('point4x');
      await page.click('[data-point-remove="1"]');
      expect(await page.locator('.point:visible').count()).toBe(3);
      expect(await page.locator('.plot-handle:visible').count()).toBe(5);
      await page.waitForSelector('#note-shape:not(:empty)');
      await done(page);
    });

    test('what is typed takes no focus, moves nothing, and stays while it is wrong', async () => {
      const page = await open({ viewport: { width: 360, height: 740 } });
      await page.locator('#dragStrength').scrollIntoViewIfNeeded();
      await page.locator('#dragStrength').click();
      const placeOf = () => page.locator('#dragStrength').evaluate((field) => field.getBoundingClientRect().top);
      const before = await placeOf();
      await page.locator('#dragStrength').fill('35');
      await page.waitForSelector('#brake-figure .plot-bar.plot-other');
      expect(await page.evaluate(() => document.activeElement?.id)).toBe('dragStrength');
      expect(Math.abs((await placeOf()) - before)).toBeLessThan(1);
      const drawn = await page.locator('#throttle-lines').innerHTML();
      await page.locator('#dragStrength').fill('350');
      await page.waitForSelector('#dragStrength-live .field-error');
      expect(await page.getAttribute('#dragStrength', 'aria-invalid')).toBe('true');
      expect(await page.inputValue('#dragStrength')).toBe('350');
      expect(await page.locator('#throttle-lines').innerHTML()).toBe(drawn);
      await page.locator('#dragStrength').fill('20');
      await page.waitForSelector('#dragStrength-live:not(:has(.field-error))', { state: 'attached' });
      await done(page);
    });

    test('a movement of the trigger is drawn by hand', async () => {
      const page = await open();
      await page.click('#more-pictures > summary');
      const ready = await page.locator('#trace-offShort').innerHTML();
      await page.locator('.trace-pad').scrollIntoViewIfNeeded();
      const box = await page.locator('.trace-pad').boundingBox();
      if (!box) throw new Error('no place to draw');
      await page.mouse.move(box.x + 2, box.y + box.height - 2);
      await page.mouse.down();
      await page.mouse.move(box.x + box.width / 2, box.y + 2, { steps: 10 });
      await page.mouse.move(box.x + box.width - 2, box.y + box.height - 2, { steps: 10 });
      await page.mouse.up();
      const typed = (await page.inputValue('#traceTyped')).split(' ').map(Number);
      expect(typed).toHaveLength(31);
      expect(Math.max(...typed)).toBeGreaterThan(95);
      expect(typed.indexOf(Math.max(...typed))).toBe(15);
      expect(await page.inputValue('select[name=trace]')).toBe('own');
      await expect.poll(() => page.locator('#trace-offShort').innerHTML()).not.toBe(ready);
      expect(await page.locator('#trace-offShort').innerHTML()).toContain('3000 ms');
      await page.fill('#traceTyped', '0 up');
      await page.waitForSelector('#traceTyped-live .field-error');
      await done(page);
    });

    test('without scripts numbers are typed, looked at and saved', async () => {
      const page = await open({ javaScriptEnabled: false });
      expect(await page.locator('.setting-slider:visible').count()).toBe(0);
      expect(await page.locator('.plot-handle:visible').count()).toBe(0);
      await page.fill('#minDrive', '12.5');
      await page.click(`button:has-text("${profileEditor.lookFirst}")`);
      await page.waitForSelector('#throttle-lines .plot-other', { state: 'attached' });
      expect(await page.inputValue('#minDrive')).toBe('12.5');
      await page.click(`button:has-text("${profileEditor.save}")`);
      await page.waitForURL(/saved=2/);
      expect(await latest()).toMatchObject({ setup: { minDrive: 125 } });
      await page.context().close();
    });

    test('fits every width, targets are large, and nothing is serious', async () => {
      const page = await open();
      await page.fill('#brakeFull', '60');
      await page.locator('details').evaluateAll((all) => {
        for (const one of all) (one as HTMLDetailsElement).open = true;
      });
      await page.check('#closingOnly');
      await page.fill('#dragStrength', '30');
      await page.waitForSelector('#brake-figure .plot-bar.plot-other');
      for (const colorScheme of ['light', 'dark'] as const) {
        await page.emulateMedia({ colorScheme });
        for (const width of [360, 768, 1280, 1920]) {
          await page.setViewportSize({ width, height: 900 });
          expect(await sidewaysPx(page), `${width}`).toBe(0);
          expect(await axeFindings(page), `${width} ${colorScheme}`).toEqual([]);
          const smallest = await page
            .locator('.plot-drawing text')
            .evaluateAll((all) => Math.min(...all.map((text) => Number.parseFloat(getComputedStyle(text).fontSize))));
          expect(smallest).toBeGreaterThanOrEqual(12);
        }
      }
      await page.setViewportSize({ width: 360, height: 740 });
      expect(await targetFindings(page, 44)).toEqual([]);
      const reach = await page
        .locator('.plot-handle:visible .plot-reach')
        .evaluateAll((all) =>
          Math.min(
            ...all.map((circle) =>
              Math.min(circle.getBoundingClientRect().width, circle.getBoundingClientRect().height),
            ),
          ),
        );
      expect(reach).toBeGreaterThanOrEqual(43.9);
      await done(page);
    });
  },
);
