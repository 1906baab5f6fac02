import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { errors } from '../../views/texts/en/errors.ts';
import { live } from '../../views/texts/en/live.ts';
import { capHeightShare } from '../../views/wall-size.ts';
import { signedIn, startTestApp, type TestApp, Visitor } from '../helpers/app.ts';
import { inHtml } from '../helpers/own-pages.ts';
import { type PlantedNight, plantNight } from '../helpers/planted-night.ts';

const second = 1_000_000;
const hostile = '<b>"Pip"&';

describe('wall and card', () => {
  let test: TestApp;
  let night: PlantedNight;
  let anybody: Visitor;
  beforeAll(async () => {
    test = await startTestApp();
    const heats = [{ lanes: [1, 2], marshals: [3], delaysMs: [0, 3_000] }, { lanes: [3, 1] }, { lanes: [2, 3] }];
    night = await plantNight(test.db, { lanes: 2, drivers: [hostile, 'Juniper', 'Otto'], heats });
    anybody = new Visitor(test.app);
  });
  afterAll(() => test.close());

  it('calls the first heat before the night begins, with a code to join', async () => {
    const { statusCode, body } = await anybody.get(night.path('wall'));
    expect(statusCode).toBe(200);
    expect(body).toContain('Next: heat 1');
    expect(body).toContain(inHtml(hostile));
    expect(body).not.toContain(hostile);
    expect(body).toContain('/j/K7MPQ2');
    expect(body).toContain('post 1');
    // Without scripts the page says how far it can be trusted.
    expect(body).toContain(live.still);
    expect(body).not.toMatch(/ style=| on[a-z]+=/);
  });

  it('shows state, clock and each handicap start without a script', async () => {
    const startUs = test.clock.nowUs() + 5 * second;
    await night.press('h1', 'arm', test.clock.nowUs());
    await night.press('h1', 'start', startUs);
    const countdown = await anybody.get(night.path('wall'));
    expect(countdown.body).toMatch(/Countdown[\s\S]*data-clock-digits[^>]*>0:05</);
    test.clock.advance(6 * second);
    const running = await anybody.get(night.path('wall'));
    expect(running.body).toMatch(/>Go<|Go<\/span>/);
    expect(running.body).toMatch(/data-clock-digits[^>]*>2:59</);
    expect(running.body).toMatch(/starts in[\s\S]*data-clock-digits[^>]*>0:02</);
    expect(running.body).toContain('Next: heat 2');
    await night.cross([1, startUs + 2 * second], [1, startUs + 7 * second]);
    test.clock.advance(3 * second);
    const lap = await anybody.get(night.path('wall'));
    expect(lap.body).toMatch(/pack-last">5\.00</);
  });

  it("shows a driver's night to the driver, and to everyone who names the entry", async () => {
    const self = await signedIn(test, night.clubId, 'driver', { driverId: 'd1', meetingId: night.meetingId });
    const mine = await self.get(night.path('me'));
    expect(mine.statusCode).toBe(200);
    expect(mine.body).toContain('You drive now, lane 1');
    expect(mine.body).toContain('Heat 2, lane 2');
    const theirs = await anybody.get(night.path('drivers/e1'));
    expect(theirs.body).toContain('Drives now, lane 1');
    expect(theirs.body).not.toContain('me/edit');
    expect((await anybody.get(night.path('drivers/e9'))).statusCode).toBe(404);
    expect((await anybody.get(`/c/${night.slug}/meetings/nowhere/wall`)).statusCode).toBe(404);
  });

  it('refuses pages and streams with ordinary answers', async () => {
    const other = await signedIn(test, night.clubId, 'driver', { driverId: 'd2', meetingId: 'm2' });
    for (const path of ['me', 'live/me']) {
      for (const visitor of [anybody, other]) {
        const refused = await visitor.get(night.path(path));
        expect(refused.statusCode).toBe(403);
        expect(refused.body).toContain(inHtml(errors.notAllowedDriver));
      }
    }
    const head = await test.app.inject({ method: 'HEAD', url: night.path('live/wall') });
    expect(head.headers['content-type']).toBe('text/event-stream; charset=utf-8');
    expect(test.app.live.size).toBe(0);
  });

  it('fits the type to screen and distance, and never lets a row fall off the screen', async () => {
    const typeVh = async (query: string) => {
      const { body, headers } = await anybody.get(`/assets/wall-size.css${query}`);
      expect(headers['content-type']).toBe('text/css; charset=utf-8');
      return Number(/--wall-h:([\d.]+)vh/.exec(body)?.[1]);
    };
    // 22 minutes of arc at 5 m are 32.0 mm (2 d tan(θ/2); ISO 9241-3 prefers 20 to 22). A 43" screen is 535 mm high.
    expect(((await typeVh('?in=43&m=5&lanes=8')) / 100) * 535.3 * capHeightShare).toBeCloseTo(32.0, 1);
    expect(await typeVh('?in=65&m=5&lanes=4')).toBeCloseTo((await typeVh('?in=43&m=5&lanes=4')) * (43 / 65), 1);
    for (const lanes of [1, 2, 4, 5, 8, 12, 16]) {
      const vh = await typeVh(`?in=20&m=10&lanes=${lanes}`);
      // A line for each lane and one of header, with ribbons and edges.
      expect(0.92 * vh * (lanes + 1) + 2 * lanes + 2.2 + 6).toBeLessThanOrEqual(100.1);
    }
    for (const nonsense of ['', '?in=x&m=-1&lanes=0', '?in=Infinity'])
      expect(await typeVh(nonsense)).toBeGreaterThan(8);
  });

  it('offers a page to set the screen up', async () => {
    const { body } = await anybody.get(night.path('wall/setup'));
    expect(body).toContain(`action="${night.path('wall')}"`);
    expect(body).toMatch(/name="in"[^>]*value="43"|value="43"[^>]*name="in"/);
  });
});
