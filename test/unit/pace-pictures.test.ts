import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { driverStory, isProvisional } from '../../server/pace/driver-story.ts';
import { fitSeason } from '../../server/pace/fit.ts';
import { compareLanes } from '../../server/pace/lane-comparison.ts';
import type { LapRow } from '../../server/pace/lap-row.ts';
import { reliability } from '../../server/pace/promise.ts';
import { nightsToCompare, settingAcrossNights } from '../../server/pace/setting-nights.ts';
import { settingNight } from '../../server/pace/setting-story.ts';
import { whyStory } from '../../server/pace/why-story.ts';
import { drained } from '../../server/shared/drained.ts';
import { PaceBand } from '../../views/components/pace-band.tsx';
import { ReliabilityDiagram } from '../../views/components/reliability.tsx';
import { renderFragment } from '../../views/html.ts';
import { rounded, signed } from '../../views/pace-numbers.ts';
import { publicSeason } from '../helpers/public-seasons.ts';

// Source of the seasons and their truth: test/reference/data/pace/SOURCES.md.
const season = publicSeason('P1');
const fit = drained(fitSeason(season.laps, season.drivers, { seed: 1 }));
const names = season.drivers.map(({ driver }) => driver);
const nonsense = /NaN|Infinity|undefined/;

describe('a driver’s story', () => {
  const stories = names.map((driver) => {
    const story = driverStory(fit, driver);
    if (!story) throw new Error(`no story of ${driver}`);
    return { driver, story, truth: season.truth.find((one) => one.driver === driver) };
  });

  test('limits of pace and crashes hold the truth in about 9 of 10 cases', () => {
    const crashesHeld = stories.filter(({ story, truth }) => {
      const rate = 100 * (truth?.crashChance ?? 0);
      return story.crashes.per100Laps.low <= rate && rate <= story.crashes.per100Laps.high;
    });
    // Of 24, fewer than 18 would have a probability of less than 2 % at 0.9.
    expect(crashesHeld.length).toBeGreaterThanOrEqual(18);
    const known = stories.flatMap(({ driver, story, truth }) => {
      const pace = story.classes[0];
      const lapSd = fit.drivers.find((one) => one.driver === driver)?.lapSd ?? 0;
      const level = truth?.nextNight.get(pace?.carClass ?? '');
      return pace && level !== undefined ? [{ lap: pace.lap, lapS: Math.exp(level + lapSd ** 2 / 2) }] : [];
    });
    expect(known.length).toBe(24);
    // Levels are told against the field, whose mean the truth of a season fixes only up to grip.
    const shift = Math.exp(known.reduce((sum, { lap, lapS }) => sum + Math.log(lapS / lap.middle), 0) / known.length);
    expect(Math.abs(Math.log(shift))).toBeLessThan(0.02);
    const held = known.filter(({ lap, lapS }) => lap.low * shift <= lapS && lapS <= lap.high * shift);
    expect(held.length).toBeGreaterThanOrEqual(18);
  });

  test('juniors get quicker, adults mostly stay', () => {
    const verdicts = (group: 'junior' | 'adult') =>
      stories
        .filter(({ driver }) => season.drivers.find((one) => one.driver === driver)?.group === group)
        .map(({ story }) => story.classes[0]?.learning?.verdict);
    expect(verdicts('junior').filter((verdict) => verdict === 'quicker').length).toBe(verdicts('junior').length);
    expect(verdicts('adult').filter((verdict) => verdict === 'same').length).toBeGreaterThan(
      0.7 * verdicts('adult').length,
    );
  });

  test('every limit lies on its side of the middle', () => {
    for (const { story } of stories) {
      for (const { lap, nights } of story.classes) {
        for (const range of [lap, ...nights.map((night) => night.lap)]) {
          expect(range.low).toBeLessThan(range.middle);
          expect(range.middle).toBeLessThan(range.high);
          expect(range.low).toBeGreaterThan(0);
        }
        expect(nights.map(({ night }) => night)).toEqual(nights.map(({ night }) => night).toSorted((a, b) => a - b));
      }
    }
  });

  test('nobody without laps has a story; few heats are provisional', () => {
    expect(driverStory(fit, 'nobody')).toBeNull();
    expect(isProvisional({ heats: 2, sd: 0.02 })).toBe(true);
    expect(isProvisional({ heats: 2, sd: 0.011 })).toBe(false);
    expect(isProvisional({ heats: 3, sd: 0.02 })).toBe(false);
    expect(isProvisional({ heats: 0, sd: Number.NaN })).toBe(true);
  });
});

test('lanes compared lie where the season put them', () => {
  const [track, ...others] = compareLanes(fit);
  expect(others).toEqual([]);
  for (const { lane, percent, secondsPerLap } of track?.lanes ?? []) {
    const truth = 100 * Math.expm1(season.lanes[lane - 1] ?? 0);
    // Limits of 9 of 10, and a little for four lanes.
    expect(Math.abs(percent.middle - truth)).toBeLessThan(1.5 * (percent.high - percent.low));
    expect(secondsPerLap.middle).toBeCloseTo(((track?.lapS ?? 0) * percent.middle) / 100, 10);
  }
  const effects = track?.lanes.map(({ percent }) => percent.middle) ?? [];
  expect(effects.indexOf(Math.min(...effects))).toBe(season.lanes.indexOf(Math.min(...season.lanes)));
});

describe('settings', () => {
  const driver = 'D12';
  const nights = [...new Set(season.laps.filter((lap) => lap.driver === driver).map(({ night }) => night))].sort(
    (a, b) => a - b,
  );
  const [last] = nights.slice(-1) as [number];
  const lapsOf = (night: number) => season.laps.filter((lap) => lap.night === night);
  const faster = (laps: readonly LapRow[], share: number, only: (lap: LapRow) => boolean) =>
    laps.map((lap) => (lap.driver === driver && only(lap) ? { ...lap, timeS: lap.timeS * (1 - share) } : lap));

  test('a car that is 8 % quicker in two of four heats is found, in seconds too', () => {
    const { heats } = settingNight(fit, lapsOf(last), driver, () => null);
    expect(heats.length).toBeGreaterThanOrEqual(4);
    const inB = new Set(heats.slice(1, 3).map(({ heat }) => heat));
    const laps = faster(lapsOf(last), 0.08, ({ heat }) => inB.has(heat));
    const { compared } = settingNight(fit, laps, driver, (heat) => (inB.has(heat) ? 'b' : 'a'));
    expect(compared?.effect.verdict).toBe('faster');
    expect(compared?.effect.effect).toBeCloseTo(Math.log(0.92), 1);
    const lapS = heats[0]?.lapS ?? 0;
    expect(compared?.effect.secondsPerLap).toBeCloseTo(-0.08 * lapS, 0);
    expect(compared?.crashes.interval.low).toBeLessThanOrEqual(0);
  });

  test('across nights, what changed nothing is hardly ever told as a change', () => {
    const adults = season.drivers.filter(({ group }) => group === 'adult').map((one) => one.driver);
    const told = adults.flatMap((one) =>
      nightsToCompare(fit, one).map(({ carClass, night }) => settingAcrossNights(fit, one, carClass, night)),
    );
    expect(told.length).toBeGreaterThan(40);
    expect(told.every(({ interval }) => interval !== null)).toBe(true);
    const alarms = told.filter(({ verdict }) => verdict === 'faster' || verdict === 'slower');
    // One in ten by chance; adults of the season walk on besides.
    expect(alarms.length).toBeLessThanOrEqual(0.2 * told.length);
  });

  test('across nights, a car 8 % quicker from a night on is found', () => {
    const since = nights.at(-2) as number;
    const laps = faster(season.laps, 0.08, ({ night }) => night >= since);
    const changed = drained(fitSeason(laps, season.drivers, { seed: 1 }));
    const effect = settingAcrossNights(changed, driver, 'C1', since);
    expect(effect.effect).toBeLessThan(-0.02);
    expect(effect.heats.a).toBeGreaterThan(0);
    expect(effect.moreHeatsEach).toBeGreaterThanOrEqual(0);
  });

  test('nothing to compare is said, not computed', () => {
    for (const effect of [
      settingAcrossNights(fit, driver, 'C1', -1),
      settingAcrossNights(fit, driver, 'C1', 1e9),
      settingAcrossNights(fit, 'nobody', 'C1', 5),
      settingAcrossNights(fit, driver, 'no class', 5),
      settingNight(fit, lapsOf(last), driver, () => 'a').compared?.effect,
    ]) {
      expect(effect?.interval).toBeNull();
      expect(effect?.verdict).toBe('notEnoughLaps');
      expect(effect?.moreHeatsEach).toBeGreaterThan(0);
    }
    expect(settingNight(fit, [], driver, () => 'a')).toEqual({ heats: [], compared: null });
  });
});

describe('why a handicap is what it is', () => {
  const lanes = ['D01', 'D09'].map((driverId, i) => {
    return { lane: i + 1, entryId: `e${i + 1}`, driverId, group: null };
  });
  const heat = { entryId: 'e2', track: 'T1', carClass: 'C1', lanes };
  const lines = lanes.map(({ lane, entryId }, i) => ({ lane, entryId, delayMs: 7400 * i, credit: 0 }));

  test('without kept figures those of the fit are told, of the driver and of who is helped most', () => {
    const story = whyStory({ ...heat, plan: JSON.stringify({ mode: 'delay', lanes: lines }) }, fit);
    expect(story).toMatchObject({ mode: 'delay', amount: 7400, lane: 2, other: { lane: 1 }, parts: null });
    const truth = (driver: string) =>
      Math.exp(season.truth.find((one) => one.driver === driver)?.nextNight.get('C1') ?? 0);
    expect((story?.other?.figures.lapS ?? 0) / (story?.own.lapS ?? 1)).toBeCloseTo(truth('D01') / truth('D09'), 1);
  });

  test('who is helped most has nobody else', () => {
    const story = whyStory({ ...heat, entryId: 'e1', plan: JSON.stringify({ lanes: lines }) }, fit);
    expect(story).toMatchObject({ amount: 0, other: null });
  });

  test('what cannot be read, or nobody knows, is nothing', () => {
    for (const plan of ['', '{', '{}', '[]', 'null', '{"lanes":[]}', '{"lanes":[{"lane":1,"entryId":"e9"}]}']) {
      expect(whyStory({ ...heat, plan }, fit), plan).toBeNull();
    }
    expect(whyStory({ ...heat, plan: JSON.stringify({ lanes: lines }) }, null)).toBeNull();
  });
});

describe('pictures', () => {
  const figures = fc.double({ min: 0.2, max: 3000, noNaN: true });
  test('a band draws whatever levels it gets', () => {
    const range = fc.tuple(figures, figures, figures).map((three) => {
      const [low, middle, high] = three.toSorted((a, b) => a - b) as [number, number, number];
      return { low, middle, high };
    });
    fc.assert(
      fc.property(fc.array(range, { minLength: 1, maxLength: 12 }), (levels) => {
        const points = levels.map((level, i) => ({ key: `${i}`, label: `night ${i + 1}`, ...level }));
        const html = renderFragment(PaceBand({ id: 'b', title: 'Band', description: 'Of nights', points }));
        expect(html).not.toMatch(nonsense);
        expect(html.match(/<circle/g)?.length).toBe(points.length);
      }),
      { numRuns: 60 },
    );
  });

  test('a reliability diagram has a dot for each bin, and its counts in the table', () => {
    const start = fc.record({
      driver: fc.constant('d'),
      chance: fc.double({ min: 0, max: 1, noNaN: true }),
      share: fc.nat(1),
    });
    const heats = fc.array(fc.record({ starters: fc.array(start, { maxLength: 6 }) }), { maxLength: 60 });
    fc.assert(
      fc.property(heats, (told) => {
        const { bins } = reliability(told);
        if (bins.length === 0) return;
        const html = renderFragment(ReliabilityDiagram({ id: 'r', title: 'Told', description: 'Dots', bins }));
        expect(html).not.toMatch(nonsense);
        expect(html.match(/<circle/g)?.length).toBe(bins.length);
      }),
      { numRuns: 60 },
    );
  });

  test('figures are rounded with their sign, and what is none is a dash', () => {
    expect([rounded(-0.04, 1), rounded(-0.06, 1), rounded(Number.NaN, 1)]).toEqual(['0.0', '−0.1', '–']);
    expect([signed(0.001, 2), signed(1.25, 1), signed(-2, 0)]).toEqual(['±0.00', '+1.3', '−2']);
  });
});
