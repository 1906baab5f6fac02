import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { digitsOf, readingAt, readReading } from '../../views/assets/scripts/clock-reading.ts';
import { ServerTime } from '../../views/assets/scripts/server-time.ts';
import { answeredSeqs, TapQueue } from '../../views/assets/scripts/tap-queue.ts';
import { clockData, clockDigits } from '../../views/components/clock-bar.tsx';

const us = fc.integer({ min: -10_000_000, max: 5 * 3600 * 1_000_000 });
const reading = fc.record({
  atUs: fc.integer({ min: 1_700_000_000_000_000, max: 1_900_000_000_000_000 }),
  leftUs: fc.option(us),
  elapsedUs: us,
  totalUs: fc.constant(null),
  running: fc.boolean(),
});

describe('a clock in the browser', () => {
  it('shows what the server would show', () => {
    fc.assert(
      fc.property(reading, (now) => {
        expect(readReading(clockData(now))).toEqual(now);
        expect(digitsOf(now)).toBe(clockDigits(now));
      }),
    );
  });

  it('goes on by the time that has passed, in one step or in many, and stands when it stands', () => {
    fc.assert(
      fc.property(reading, fc.nat(10_000_000), fc.nat(10_000_000), (start, one, two) => {
        const once = readingAt(start, start.atUs + one + two);
        const twice = readingAt(readingAt(start, start.atUs + one), start.atUs + one + two);
        expect(digitsOf(once)).toBe(digitsOf(twice));
        const ran = start.running ? one + two : 0;
        expect(once.elapsedUs).toBe(start.elapsedUs + ran);
        if (start.leftUs !== null && start.leftUs > ran) expect(once.leftUs).toBe(start.leftUs - ran);
      }),
    );
  });

  it('begins a second whole and ends it cut', () => {
    const left = (leftUs: number) => digitsOf({ atUs: 0, leftUs, elapsedUs: 0, totalUs: null, running: true });
    expect([180_000_000, 179_999_999, 1, 0, -5].map(left)).toEqual(['3:00', '3:00', '0:01', '0:00', '0:00']);
  });

  it('takes nothing else for a reading', () => {
    for (const text of ['', 'null', '{}', '[]', '{"atUs":"1","elapsedUs":2}']) expect(readReading(text)).toBeNull();
  });
});

describe("the server's time on a page", () => {
  it('is never ahead of the truth, and behind it by no more than the quickest word of the last minute', () => {
    const delays = fc.array(fc.integer({ min: 0, max: 3000 }), { minLength: 1, maxLength: 30 });
    fc.assert(
      fc.property(delays, fc.integer({ min: 0, max: 2 ** 50 }), (delaysMs, aheadUs) => {
        const time = new ServerTime();
        expect(time.at(0)).toBeNull();
        let nowMs = 0;
        delaysMs.forEach((delayMs, i) => {
          nowMs = i * 5_000 + delayMs;
          time.hear(i * 5_000_000 + aheadUs, nowMs);
        });
        const recent = delaysMs.slice(-11);
        const error = nowMs * 1000 + aheadUs - (time.at(nowMs) ?? 0);
        expect(error).toBeGreaterThanOrEqual(0);
        expect(error).toBeLessThanOrEqual(Math.min(...recent) * 1000);
      }),
    );
  });

  it('follows another server after it was told to forget', () => {
    const time = new ServerTime();
    time.hear(9_000_000, 1_000);
    time.forget();
    time.hear(5_000_000, 2_000);
    expect(time.at(3_000)).toBe(6_000_000);
  });
});

/** A device's storage, which outlives a page. */
function storage(limit = Number.POSITIVE_INFINITY) {
  const kept = new Map<string, string>();
  return {
    kept,
    getItem: (key: string) => kept.get(key) ?? null,
    setItem(key: string, value: string) {
      if (value.length > limit) throw new Error('full');
      kept.set(key, value);
    },
    removeItem: (key: string) => void kept.delete(key),
    key: (i: number) => [...kept.keys()][i] ?? null,
    get length() {
      return kept.size;
    },
  };
}

describe('taps', () => {
  it('are kept until they are answered, over any number of page loads, and each is sent with its own boot', () => {
    const step = fc.oneof(
      fc.record({ kind: fc.constant('tap' as const), lane: fc.integer({ min: 1, max: 8 }) }),
      fc.record({ kind: fc.constant('reload' as const) }),
      fc.record({ kind: fc.constant('answer' as const), lost: fc.boolean(), count: fc.nat(4) }),
    );
    fc.assert(
      fc.property(fc.array(step, { maxLength: 60 }), (steps) => {
        const store = storage();
        let load = 0;
        const open = () => new TapQueue('/taps p1', `boot${load}`, load++, store);
        let queue = open();
        const pressed: string[] = [];
        const counted = new Set<string>();
        let seq = 0;
        for (const one of steps) {
          if (one.kind === 'tap') {
            queue.add(one.lane, seq);
            seq += 1;
            pressed.push(`boot${load - 1}/${seq}`);
          } else if (one.kind === 'reload') {
            queue = open();
            seq = 0;
          } else {
            const [boot] = queue.boots();
            if (!boot) continue;
            const sent = boot.taps.slice(0, one.count);
            for (const tap of sent) counted.add(`${boot.boot}/${tap.seq}`);
            if (!one.lost) queue.answered(boot, new Set(sent.map((tap) => tap.seq)));
          }
        }
        for (let [boot] = queue.boots(); boot; [boot] = queue.boots()) {
          for (const tap of boot.taps) counted.add(`${boot.boot}/${tap.seq}`);
          queue.answered(boot, new Set(boot.taps.map((tap) => tap.seq)));
        }
        expect([...counted].sort()).toEqual([...pressed].sort());
        expect(queue.size).toBe(0);
        expect(store.kept.size).toBe(0);
      }),
    );
  });

  it('of another place, or what else the device keeps, are left alone', () => {
    const store = storage();
    store.setItem('lanewise.taps /taps p1 broken', '{');
    store.setItem('lanewise.keys', 'on');
    new TapQueue('/taps p2', 'a', 1, store).add(3, 1);
    expect(new TapQueue('/taps p1', 'b', 2, store).size).toBe(0);
    expect(store.kept.size).toBe(3);
  });

  it('stay in memory when the device is full or keeps nothing', () => {
    for (const store of [storage(0), null]) {
      const queue = new TapQueue('/taps p1', 'a', 1, store);
      queue.add(3, 17);
      expect(queue.boots()).toEqual([{ boot: 'a', originMs: 1, taps: [{ seq: 1, lane: 3, t_us: 17 }] }]);
    }
  });

  it('are final in whichever list of the answer they stand', () => {
    const answer = { accepted: [1], duplicate: [2], conflict: [{ seq: 3 }], refused: [], final_to: 9, note: 'ok' };
    expect([...answeredSeqs(answer)]).toEqual([1, 2, 3]);
    for (const nothing of [null, 'ok', 7, {}]) expect(answeredSeqs(nothing).size).toBe(0);
  });
});
