import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Crossing, HeatEvent, Ruling } from '../../server/heats/facts.ts';
import { foldHeat, type HeatState } from '../../server/heats/fold.ts';
import type { HeatFormat } from '../../server/heats/plan.ts';
import type { Entry, Race } from '../../server/meetings/store.ts';
import { cardOf } from '../../server/night/card-view.ts';
import { interimOf } from '../../server/night/interim.ts';
import type { MeetingNow } from '../../server/night/meeting-now.ts';
import { expectedStarts } from '../../server/night/night-times.ts';
import { lowerMedian, ownPaceUs } from '../../server/night/own-pace.ts';
import { packOf } from '../../server/night/pack.ts';
import { wallOf } from '../../server/night/wall-view.ts';
import type { RaceRow } from '../../server/results/standing.ts';

const second = 1_000_000;

type Plan = {
  /** Entry number on each lane; 0: nobody. */
  lanes: number[];
  marshals?: number[];
  delaysMs?: number[];
  startUs?: number;
  stopUs?: number;
  confirmUs?: number;
  /** Crossings of each lane. */
  crossings?: number[][];
  rulings?: Omit<Ruling, 'n' | 'why' | 'by'>[];
};

/** A meeting of one race, counted; heats are `h1`, `h2`, … in order, entries `e1`, `e2`, … */
function meeting(
  heats: Plan[],
  nowUs: number,
  format: HeatFormat = { kind: 'time', durationMs: 60_000, firstTo: null },
): MeetingNow {
  const states = new Map<string, HeatState>();
  const armings = [];
  for (const [i, plan] of heats.entries()) {
    const id = `h${i + 1}`;
    const events: HeatEvent[] = [];
    const press = (kind: HeatEvent['kind'], atUs: number | undefined) => {
      if (atUs !== undefined) events.push({ n: events.length + 1, kind, atUs, by: '' });
    };
    press('arm', plan.startUs === undefined ? undefined : plan.startUs - second);
    press('start', plan.startUs);
    press('stop', plan.stopUs);
    press('confirm', plan.confirmUs);
    if (plan.startUs !== undefined) armings.push({ heat: id, atUs: plan.startUs - second });
    const crossings = (plan.crossings ?? []).flatMap((list, lane) =>
      list.map(
        (atUs, seq): Crossing => ({ device: `s${lane}`, boot: 'b', seq, lane: lane + 1, tUs: atUs, atUs, late: false }),
      ),
    );
    const rulings = (plan.rulings ?? []).map((one, at) => ({ ...one, n: 50 + at, why: '', by: '' }) as Ruling);
    const lanes = plan.lanes.map((entry, lane) => ({
      lane: lane + 1,
      minLapUs: 2 * second,
      entry: entry === 0 ? null : `e${entry}`,
      delayMs: plan.delaysMs?.[lane] ?? 0,
    }));
    const rules = { start: 'ahead', holdRollUs: 2 * second, endRollUs: 2 * second, standingFastest: false } as const;
    states.set(
      id,
      foldHeat({ heat: id, race: 'r1', format, ...rules, lanes }, { events, rulings, crossings }, () => 64),
    );
  }
  const entries = [...new Set(heats.flatMap(({ lanes, marshals = [] }) => [...lanes, ...marshals]))]
    .filter((entry) => entry > 0)
    .sort((a, b) => a - b)
    .map((n) => [`e${n}`, { id: `e${n}`, raceId: 'r1', driverId: `d${n}`, nickname: `Driver ${n}` } as Entry] as const);
  const race = {
    id: 'r1',
    name: 'Open',
    format: format.kind,
    durationMs: format.kind === 'time' ? format.durationMs : null,
    firstTo: null,
    laps: format.kind === 'laps' ? format.laps : null,
    limitMs: null,
    missing: 'zero',
    heatsPerEntry: null,
  } as Race;
  return {
    handicaps: new Map(),
    chosen: [],
    meeting: { id: 'm1', zone: 'UTC' } as MeetingNow['meeting'],
    lanes: [],
    races: [race],
    entries: new Map(entries),
    programme: heats.map(({ lanes, marshals = [], delaysMs }, i) => ({
      id: `h${i + 1}`,
      raceId: 'r1',
      ordinal: i + 1,
      reruns: null,
      removedAt: null,
      lanes: lanes.flatMap((entry, lane) =>
        entry === 0 ? [] : [{ lane: lane + 1, entryId: `e${entry}`, delayMs: delaysMs?.[lane] ?? 0 }],
      ),
      marshals: marshals.map((entry) => `e${entry}`),
    })),
    heats: states,
    armings,
    devices: [],
    nowUs,
  };
}

/** Crossings every `lapUs` from `fromUs` on. */
const every = (lapUs: number, fromUs: number, count: number) =>
  Array.from({ length: count }, (_, i) => fromUs + i * lapUs);

function packNow(now: MeetingNow) {
  const state = [...now.heats.values()].at(-1) as HeatState;
  return packOf(now, state).map(({ lane, place, gapLaps, summary, deltaUs, racePlace, startsAtUs }) => ({
    lane,
    place,
    gapLaps,
    laps: summary.laps,
    deltaUs,
    racePlace,
    startsAtUs,
  }));
}

describe('the pack', () => {
  it('says how far everybody is behind, in laps of the leader', () => {
    // Lane 1 laps in 5 s, lane 2 in 6 s, lane 3 stopped after its second lap of 5 s, lane 4 never came.
    const crossings = [
      every(5 * second, 1 * second, 7),
      every(6 * second, 1 * second, 6),
      every(5 * second, 2 * second, 3),
      [],
    ];
    const now = meeting([{ lanes: [1, 2, 3, 4], startUs: 0, crossings }], 33 * second);
    const [first, secondRow, third, last] = packNow(now);
    expect(first).toMatchObject({ lane: 1, place: 1, gapLaps: 0, laps: 6 });
    // Its fifth lap ended 5 s after the leader's: one lap of the leader.
    expect(secondRow).toMatchObject({ lane: 2, place: 2, laps: 5, gapLaps: 1 });
    // The leader completed lap 3 at 16 s; at 33 s that is 17 s ago and still not done: 3.4 laps.
    expect(third).toMatchObject({ lane: 3, place: 3, laps: 2, gapLaps: 3.4 });
    // Nothing was ever heard: behind since the leader's first lap, which ended at 6 s.
    expect(last).toMatchObject({ lane: 4, place: null, laps: 0, gapLaps: 27 / 5 });
  });

  it('puts the earlier one ahead on equal laps, and who passed the line first before any lap', () => {
    const crossings = [[1.2, 6.3], [1.0, 6.5], [1.1]].map((list) => list.map((s) => s * second));
    expect(packNow(meeting([{ lanes: [1, 2, 3], startUs: 0, crossings }], 7 * second)).map(({ lane }) => lane)).toEqual(
      [1, 2, 3],
    );
    const opened = [[1.2], [1.0], [1.1]].map((list) => list.map((s) => s * second));
    expect(
      packNow(meeting([{ lanes: [1, 2, 3], startUs: 0, crossings: opened }], 2 * second)).map(({ lane }) => lane),
    ).toEqual([2, 3, 1]);
  });

  it('counts down each lane of a handicap start, and not what has started', () => {
    const heat = { lanes: [1, 2, 3], startUs: 10 * second, delaysMs: [0, 4_000, 9_000] };
    const startsAt = (nowS: number) =>
      packNow(meeting([heat], nowS * second)).map(({ lane, startsAtUs }) => [lane, startsAtUs]);
    expect(startsAt(11)).toEqual([
      [1, null],
      [2, 14 * second],
      [3, 19 * second],
    ]);
    expect(startsAt(15)).toEqual([
      [1, null],
      [2, null],
      [3, 19 * second],
    ]);
    expect(startsAt(19)).toEqual([
      [1, null],
      [2, null],
      [3, null],
    ]);
  });

  it('compares the last lap with the median of the clean laps of the night, and tells the place in the race', () => {
    const h1 = {
      lanes: [1, 2],
      startUs: 0,
      stopUs: 50 * second,
      confirmUs: 51 * second,
      crossings: [every(5 * second, second, 9), every(4 * second, second, 11)],
    };
    const h2 = {
      lanes: [2, 1],
      startUs: 100 * second,
      crossings: [every(4 * second, 101 * second, 3), [...every(5 * second, 101 * second, 2), 111.5 * second]],
    };
    const now = meeting([h1, h2], 112 * second);
    expect(ownPaceUs(now, 'e1')).toBe(5 * second);
    const [leader, other] = packNow(now);
    expect(leader).toMatchObject({ lane: 1, deltaUs: 0, racePlace: 1 });
    expect(other).toMatchObject({ lane: 2, deltaUs: 500_000, racePlace: 2 });
  });

  it('has the same order and gaps whatever the order of the lanes, and never a negative gap', () => {
    const lap = fc.integer({ min: 2_100_000, max: 9_000_000 });
    const lane = fc
      .array(lap, { maxLength: 8 })
      .map((laps) => laps.reduce((at, us) => [...at, (at.at(-1) ?? 0) + us], [second]));
    fc.assert(
      fc.property(
        fc.array(lane, { minLength: 2, maxLength: 6 }),
        fc.integer({ min: 1, max: 60 }),
        (crossings, nowS) => {
          const ids = crossings.map((_, i) => i + 1);
          const seen = crossings.map((list) => list.filter((us) => us <= nowS * second));
          const now = meeting([{ lanes: ids, startUs: 0, crossings: seen }], nowS * second);
          const pack = packNow(now);
          for (const { gapLaps } of pack) if (gapLaps !== null) expect(gapLaps).toBeGreaterThanOrEqual(0);
          const laps = pack.map((row) => row.laps);
          expect(laps).toEqual([...laps].sort((a, b) => b - a));
          const turned = meeting(
            [{ lanes: [...ids].reverse(), startUs: 0, crossings: [...seen].reverse() }],
            nowS * second,
          );
          const key = (rows: typeof pack) => rows.map(({ laps: n, gapLaps }) => `${n}/${gapLaps}`).sort();
          expect(key(packNow(turned))).toEqual(key(pack));
        },
      ),
    );
  });

  it('takes the middle lap for the median', () => {
    expect([[], [3], [3, 1], [5, 1, 3], [4, 1, 3, 2]].map(lowerMedian)).toEqual([null, 3, 1, 3, 2]);
  });
});

describe('when the heats to come will start', () => {
  const plan = (startS: number, stopS: number): Plan => ({
    lanes: [1],
    startUs: startS * second,
    stopUs: stopS * second,
    confirmUs: stopS * second,
  });

  it('is not known before the night has begun', () => {
    expect(expectedStarts(meeting([{ lanes: [1] }, { lanes: [2] }], 0)).size).toBe(0);
  });

  it('follows the real changeovers and lengths of the evening', () => {
    // Three heats of 60, 70 and 65 s with 90 and 110 s between them: medians 65 s and (the lower of two) 90 s.
    const heats = [plan(0, 60), plan(150, 220), plan(330, 395), { lanes: [1] }, { lanes: [1] }];
    const starts = expectedStarts(meeting(heats, 400 * second, { kind: 'time', durationMs: 90_000, firstTo: null }));
    expect(starts.get('h4')).toBe(485 * second);
    expect(starts.get('h5')).toBe((485 + 65 + 90) * second);
    // When the changeover takes longer, the next start is now, and the rest moves with it.
    const later = expectedStarts(meeting(heats, 600 * second, { kind: 'time', durationMs: 90_000, firstTo: null }));
    expect([later.get('h4'), later.get('h5')]).toEqual([600 * second, 755 * second]);
  });

  it('waits for the heat that runs', () => {
    const heats: Plan[] = [{ lanes: [1], startUs: 0 }, { lanes: [1] }];
    expect(expectedStarts(meeting(heats, 20 * second)).get('h2')).toBe((60 + 120) * second);
  });
});

describe('a race between two heats', () => {
  const row = (entry: string, place: number, scores: number[], more: Partial<RaceRow> = {}): RaceRow => ({
    place,
    entry,
    nickname: entry,
    score: scores.reduce((sum, one) => sum + one, 0),
    laps: 0,
    fastestUs: null,
    missing: 0,
    excluded: false,
    heats: scores.map((score, i) => ({
      heat: `h${i}`,
      lane: 1,
      laps: 0,
      score,
      finished: false,
      fastestUs: null,
      lastLapEndRaceUs: null,
      state: 'confirmed',
    })),
    ...more,
  });
  const standing = (...rows: RaceRow[]) => ({ race: 'r1', provisional: true, rows });

  it('is listed by the mean of a heat while some have driven more', () => {
    const interim = interimOf(
      standing(row('often', 1, [3000, 3001]), row('once', 2, [3100]), row('never', 3, [])),
      'time',
    );
    expect(interim.heats).toEqual({ least: 1, most: 2 });
    expect(interim.rows.map(({ entry, position, meanScore }) => [entry, position, meanScore])).toEqual([
      ['once', 1, 3100],
      ['often', 2, 3000],
      ['never', null, null],
    ]);
  });

  it('takes the mean of the heats somebody drove, not of those the race has filled in', () => {
    const interim = interimOf(standing(row('filled', 1, [3000], { score: 12_000, missing: 3 })), 'time');
    expect(interim.rows[0]?.meanScore).toBe(3000);
  });

  it('is the standing itself when all have driven as much, ties and all', () => {
    const rows = [row('a', 1, [3000]), row('b', 2, [2900]), row('c', 2, [2900]), row('d', 4, [1])];
    expect(interimOf(standing(...rows), 'time').rows.map(({ entry, position }) => [entry, position])).toEqual([
      ['a', 1],
      ['b', 2],
      ['c', 2],
      ['d', 4],
    ]);
  });
});

describe("a driver's night", () => {
  const heats: Plan[] = [
    {
      lanes: [1, 2],
      marshals: [3],
      startUs: 0,
      stopUs: 50 * second,
      confirmUs: 51 * second,
      crossings: [every(5 * second, second, 5), []],
    },
    { lanes: [3, 4], marshals: [1, 2], startUs: 100 * second },
    { lanes: [4, 3] },
    { lanes: [2, 4] },
    { lanes: [2, 1], marshals: [3] },
  ];
  const entriesOf = (now: MeetingNow, id: string) => [...now.entries.values()].filter((entry) => entry.id === id);

  it('says what is now, what is next, and how long until then', () => {
    const now = meeting(heats, 110 * second);
    const card = cardOf(now, entriesOf(now, 'e1'));
    expect(card.now).toMatchObject({ kind: 'marshal', place: 1, number: 2, of: 5 });
    expect(card.nextDrive).toMatchObject({ kind: 'drive', place: 2, number: 5, before: 2 });
    expect(card.nextMarshal).toBeNull();
    expect(
      card.line.map((moment) => [
        moment.kind === 'rest' ? `rest ${moment.from.number}-${moment.to.number}` : moment.duty.kind,
        moment.state,
      ]),
    ).toEqual([
      ['drive', 'past'],
      ['marshal', 'now'],
      ['rest 3-4', 'later'],
      ['drive', 'next'],
    ]);
    expect(card.laps).toMatchObject({ lane: 1, running: false, paceUs: 5 * second });
    expect(card.laps?.laps.map(({ n }) => n)).toEqual([4, 3, 2, 1]);
    expect(card.places).toEqual([{ race: 'Open', position: 1, of: 4, heats: 1 }]);
  });

  it('is the same heat by heat as the wall', () => {
    const now = meeting(heats, 110 * second);
    expect(wallOf(now)).toMatchObject({ heat: { number: 2, phase: 'running' }, next: { number: 3 }, standing: null });
    const between = meeting(
      heats.map((heat, i) => (i === 1 ? { ...heat, stopUs: 120 * second, confirmUs: 121 * second } : heat)),
      130 * second,
    );
    expect(wallOf(between)).toMatchObject({
      heat: null,
      next: { number: 3, lanes: [{ lane: 1 }, { lane: 2 }] },
      standing: { over: false },
    });
  });

  it('counts down to the start on the wall, and to the end after it', () => {
    const counting = meeting([{ lanes: [1], startUs: 105 * second }], 102 * second);
    expect(wallOf(counting).heat).toMatchObject({ phase: 'countdown', clock: { leftUs: 3 * second, running: true } });
    const running = meeting([{ lanes: [1], startUs: 105 * second }], 115 * second);
    expect(wallOf(running).heat).toMatchObject({ phase: 'running', clock: { leftUs: 50 * second, running: true } });
  });
});
