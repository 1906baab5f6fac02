import { describe, expect, test } from 'vitest';
import { isRuling } from '../../server/heats/facts.ts';
import { heatWarnings } from '../../server/heats/warnings.ts';
import { countMeeting } from '../../server/results/count.ts';
import type { DriverKey } from '../../server/sample/club.ts';
import { sampleMeetings, seasonDrawn } from '../../server/sample/meetings.ts';
import { groupBy } from '../../server/shared/group-by.ts';
import { sample as words } from '../../views/texts/en/sample.ts';

/**
 * Whether the season looks like real evenings. All bounds are common practice in the hobby, no source: what drivers and
 * directors of home and club tracks see.
 */

const { past } = sampleMeetings(words, { today: '2026-11-13', zone: 'Europe/Vienna', seed: seasonDrawn });
const evenings = past.map(({ plan, facts }) => ({ plan, facts, ...countMeeting(facts) }));

type DrivenLap = {
  driver: DriverKey;
  track: string;
  heat: string;
  lane: number;
  n: number;
  us: number;
  clean: boolean;
};

const laps = evenings.flatMap(({ plan, facts, heats }) => {
  const drivers = new Map(facts.entries.map(({ id, driver }) => [id, driver as DriverKey]));
  return [...heats].flatMap(([heat, state]) =>
    state.lanes.flatMap((lane) =>
      lane.laps.toArray().map(
        ({ n, durationUs: us, flags }): DrivenLap => ({
          driver: drivers.get(lane.rules.entry ?? '') as DriverKey,
          track: plan.track,
          heat: `${plan.name} ${heat}`,
          lane: lane.rules.lane,
          n,
          us,
          clean: flags.length === 0,
        }),
      ),
    ),
  );
});

const clean = laps.filter((lap) => lap.clean);
/** One run: a driver's laps in one heat. */
const runs = [...groupBy(clean, ({ heat, lane }) => `${heat} ${lane}`).values()];
const medianUs = (of: readonly DrivenLap[]) => of.map(({ us }) => us).sort((a, b) => a - b)[of.length >> 1] ?? 0;
const runsOf = (driver: DriverKey) => runs.filter(([first]) => first?.driver === driver);

/** A deslot costs 2.5 s and more; no clean lap and no small mistake does. */
const deslots = (own: readonly DrivenLap[][]) =>
  own.flatMap((run) => run.filter(({ us }) => us > medianUs(run) + 2_400_000));
const share = (part: number, whole: number) => (100 * part) / whole;

/** Standard deviation of a driver's laps round the median of their run, deslots left out, as a part of the lap. */
function scatterOf(driver: DriverKey): number {
  const off = new Set(deslots(runsOf(driver)));
  const deviations = runsOf(driver)
    .filter((run) => run.length >= 8)
    .flatMap((run) => run.filter((lap) => !off.has(lap)).map(({ us }) => us / medianUs(run) - 1));
  return Math.sqrt(deviations.reduce((sum, x) => sum + x * x, 0) / deviations.length);
}

const experts = ['sprocket', 'walnut'] as const;
const clubDrivers = ['rhubarb', 'teaspoon', 'bramble', 'puffin', 'comet'] as const;
const novices = ['gumboot', 'domino', 'clover', 'radish'] as const;
const children = ['domino', 'clover', 'radish', 'tadpole'] as const;

describe('laps', () => {
  test('of a club track take 6 to 12 s, of a home track 3 to 7 s, those of a small child longer', () => {
    for (const run of runs.filter(({ length }) => length >= 8)) {
      const [{ driver, track } = { driver: 'sprocket', track: '' }] = run;
      const seconds = medianUs(run) / 1e6;
      if (driver === 'tadpole') expect(seconds).toBeGreaterThan(track === 'ring' ? 5.5 : 9.5);
      else expect(seconds).toBeLessThan(track === 'ring' ? 7 : 12);
      expect(seconds).toBeGreaterThan(track === 'ring' ? 3 : 6);
    }
  });

  test('scatter by 0.8 to 1.5 % of an expert, 1.5 to 3 % of a club driver, 3 to 10 % of a novice or child', () => {
    const ranges = [
      [experts, 0.008, 0.015],
      [clubDrivers, 0.015, 0.03],
      [novices, 0.03, 0.1],
      [['tadpole'], 0.05, 0.1],
    ] as const;
    for (const [drivers, from, to] of ranges) {
      for (const driver of drivers) {
        expect(scatterOf(driver), driver).toBeGreaterThan(from);
        expect(scatterOf(driver), driver).toBeLessThan(to);
      }
    }
  });

  test('end in the wild once in a hundred at most for an expert, up to 4 times for a club driver, more for others', () => {
    const rate = (driver: DriverKey) => share(deslots(runsOf(driver)).length, runsOf(driver).flat().length);
    for (const driver of experts) expect(rate(driver), driver).toBeLessThan(1.2);
    for (const driver of clubDrivers) expect(rate(driver), driver).toBeLessThan(4);
    for (const driver of novices) expect(rate(driver), driver).toBeLessThan(12);
    for (const driver of novices) expect(rate(driver), driver).toBeGreaterThan(3);
    expect(rate('tadpole')).toBeGreaterThan(7);
    expect(rate('tadpole')).toBeLessThan(25);
  });

  test('begin slow: the first is 1 to 8 % over the usual', () => {
    const firsts = runs
      .filter((run) => run.length >= 10 && run[0]?.n === 1 && run[0].us < 1.3 * medianUs(run))
      .map((run) => (run[0]?.us ?? 0) / medianUs(run) - 1);
    const mean = firsts.reduce((sum, x) => sum + x, 0) / firsts.length;
    expect(mean).toBeGreaterThan(0.01);
    expect(mean).toBeLessThan(0.08);
  });

  test('of the same driver take 1 to 4 % longer on the slowest lane than on the quickest', () => {
    const paces = [1, 2, 3, 4].map((lane) => {
      const own = runs.filter(
        ([first]) => first?.lane === lane && first.track === 'cellar' && first.driver === 'sprocket',
      );
      const quickest = own.map((run) => medianUs(run));
      return quickest.reduce((sum, us) => sum + us, 0) / quickest.length;
    });
    const spread = Math.max(...paces) / Math.min(...paces) - 1;
    expect(spread).toBeGreaterThan(0.01);
    expect(spread).toBeLessThan(0.04);
  });
});

describe('sensors', () => {
  test('trigger twice now and then, and miss few; a knocked one misses one in 10 to 30', () => {
    for (const { plan, facts, heats } of evenings) {
      const verdicts = [...heats.values()].flatMap(({ lanes }) => lanes.flatMap((lane) => lane.crossings.toArray()));
      const bounces = verdicts.filter(({ verdict }) => verdict === 'bounce').length;
      expect(share(bounces, verdicts.length)).toBeLessThan(2);
      const judged = facts.journal.filter(({ fact }) => fact.kind === 'judge' && fact.why === words.whys.missed).length;
      if (plan.knocked === null) {
        expect(share(judged, verdicts.length)).toBeLessThan(0.5);
      } else {
        const { lane } = plan.knocked;
        const seen = verdicts.filter(({ crossing, verdict }) => crossing.lane === lane && verdict === 'counts').length;
        expect((seen + judged) / judged).toBeGreaterThanOrEqual(10);
        expect((seen + judged) / judged).toBeLessThanOrEqual(30);
      }
    }
  });

  test('leave few warnings behind, and a director rules at most once or twice in a usual heat', () => {
    const heats = evenings.flatMap(({ facts, heats: states, latestUs }) =>
      [...states].map(([id, state]) => ({
        warnings: heatWarnings(state, latestUs).length,
        rulings: facts.journal.filter(({ heat, fact }) => heat === id && isRuling(fact) && fact.kind !== 'part').length,
      })),
    );
    const mean = (of: readonly number[]) => of.reduce((sum, x) => sum + x, 0) / of.length;
    expect(mean(heats.map(({ rulings }) => rulings))).toBeLessThan(1);
    expect(Math.max(...heats.map(({ rulings }) => rulings))).toBeLessThanOrEqual(3);
    expect(mean(heats.map(({ warnings }) => warnings))).toBeLessThan(0.5);
  });
});

describe('evenings', () => {
  test('take 35 to 110 minutes', () => {
    for (const { facts } of evenings) {
      const minutes = ((facts.journal.at(-1)?.fact.atUs ?? 0) - (facts.journal[0]?.fact.atUs ?? 0)) / 60e6;
      expect(minutes, facts.meeting.name).toBeGreaterThan(35);
      expect(minutes, facts.meeting.name).toBeLessThan(110);
    }
  });

  const races = evenings.flatMap(({ races: own, facts }) => own.map((race) => ({ race, facts })));

  test('end close: the second is never more than two laps behind, three times less than a tenth of one', () => {
    const gaps = races.map(({ race, facts }) => {
      const [first, second] = race.rows.map(({ score }) => score ?? 0);
      const byTime = facts.races.find(({ id }) => id === race.race)?.format.kind === 'laps';
      // Hundredths of a lap; a lap of the house cars takes about 7.5 s.
      return Math.abs((first ?? 0) - (second ?? 0)) / (byTime ? 75 : 1);
    });
    expect(Math.max(...gaps)).toBeLessThan(200);
    expect(gaps.filter((gap) => gap < 10).length).toBeGreaterThanOrEqual(3);
  });

  test('are won by several people, also by children', () => {
    const winners = races.map(({ race, facts }) => facts.entries.find(({ id }) => id === race.rows[0]?.entry)?.driver);
    expect(new Set(winners).size).toBeGreaterThanOrEqual(5);
    expect(winners.some((driver) => children.some((child) => child === driver))).toBe(true);
  });

  test('a child is not hopeless: the youngest has over 60 % of the winner, wins a heat, and gets quicker', () => {
    let won = 0;
    for (const { race, facts } of races) {
      const tadpole = race.rows.find(({ nickname }) => nickname === words.drivers.tadpole);
      if (!tadpole) continue;
      expect((tadpole.score ?? 0) / (race.rows[0]?.score ?? 1), facts.meeting.name).toBeGreaterThan(0.6);
      for (const { heat, score } of tadpole.heats) {
        const others = race.rows.flatMap((row) =>
          row.heats.filter((one) => one.heat === heat).map((one) => one.score ?? 0),
        );
        if (score === Math.max(...others)) won += 1;
      }
    }
    expect(won).toBeGreaterThanOrEqual(1);
    const onRing = runsOf('tadpole').filter(([first]) => first?.track === 'ring');
    const best = (evening: string) =>
      Math.min(...onRing.filter(([first]) => first?.heat.startsWith(evening)).map((run) => medianUs(run)));
    expect(best('handicap')).toBeLessThan(best('family'));
  });
});
