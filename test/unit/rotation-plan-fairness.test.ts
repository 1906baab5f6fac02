import { describe, expect, it } from 'vitest';
import { planFairness, planLengthMs } from '../../server/rotation/plan-fairness.ts';

const plain = (rows: (string | null)[][]) => rows.map((seats) => ({ seats, marshals: [] as string[] }));
const pairOf = (a: string, b: string) => [
  [a, b],
  [b, a],
];

describe('planFairness', () => {
  it('leaves out who is on no lane, and lanes that nobody uses', () => {
    const heats = plain(pairOf('Ann', 'Bob').map(([a = '', b = '']) => [a, null, b]));
    const fairness = planFairness(['Cid', 'Bob', 'Ann'], heats, 0);
    expect(fairness).toMatchObject({
      drivers: ['Bob', 'Ann'],
      meetings: [
        [0, 2],
        [2, 0],
      ],
    });
    expect(fairness?.certificate.lanes).toMatchObject({ spread: 0, bound: 0, verdict: 'proved best' });
    expect(planFairness(['Ann'], [], 0)).toBeNull();
  });

  it('says that people changed the heats, or what they were drawn for', () => {
    const heats = plain([...pairOf('Ann', 'Bob'), ...pairOf('Cid', 'Dot')]);
    const order = ['Ann', 'Bob', 'Cid', 'Dot'];
    expect(planFairness(order, heats, 0)?.certificate.opponents.why).toBe('by hand');
    expect(planFairness(order, heats, 0, { purpose: 'opponents' })?.certificate.opponents.why).toBe('searched');
  });

  it('measures groups among themselves, until a heat mixes them', () => {
    const groups = [
      ['Ann', 'Bob'],
      ['Cid', 'Dot'],
    ];
    const order = groups.flat();
    const apart = plain([...pairOf('Ann', 'Bob'), ...pairOf('Cid', 'Dot')]);
    const grouped = planFairness(order, apart, 0, { groups })?.certificate;
    expect(grouped?.opponents).toMatchObject({ min: 2, max: 2, sumSquares: 8, bound: 8, verdict: 'proved best' });
    const mixed = planFairness(order, [...apart, ...plain([['Ann', 'Cid']])], 0, { groups })?.certificate;
    expect(mixed?.opponents).toMatchObject({ min: 0, max: 2, sumSquares: 9 });
  });

  it('counts marshals of every group, without those who never stand', () => {
    const heats = pairOf('Ann', 'Bob').map((seats) => ({ seats, marshals: ['Cid'] }));
    const more = pairOf('Cid', 'Dot').map((seats) => ({ seats, marshals: ['Ann'] }));
    const duty = (exempt: string[]) =>
      planFairness(['Ann', 'Bob', 'Cid', 'Dot'], [...heats, ...more], 1, { exempt })?.certificate.duty;
    expect(duty([])).toMatchObject({ min: 0, max: 2, spread: 2, bound: 0, verdict: 'compromise', why: 'by hand' });
    expect(duty(['Bob', 'Dot'])).toMatchObject({ min: 2, max: 2, spread: 0, bound: 0, verdict: 'proved best' });
  });

  it('adds two minutes to each heat', () => {
    expect(planLengthMs(3, 60_000)).toBe(540_000);
    expect(planLengthMs(3, null)).toBeNull();
  });
});
