import { describe, expect, it } from 'vitest';
import { certify, type Purpose } from '../../server/rotation/certificate/certify.ts';
import type { Driver, Seat } from '../../server/rotation/rotation.ts';
import { certificate as words } from '../../views/texts/en/certificate.ts';
import { numbers } from '../helpers/nights.ts';

const certificateOf = (heats: Seat[][], purpose: Purpose, marshals: Driver[][] = heats.map(() => []), wanted = 0) =>
  certify({
    drivers: [...new Set(heats.flat())].filter((seat) => seat !== null),
    lanes: heats[0]?.length ?? 1,
    ...{ heats, marshals, wanted, purpose },
  });

const perfect = numbers(13).map((t) => [0, 1, 3, 9].map((b) => ((b + t) % 13) + 1));

describe('words of the certificate', () => {
  it('say first what people care about most', () => {
    const marshals = perfect.map((_, t) => [((t + 5) % 13) + 1]);
    const sentences = words.sentences(certificateOf(perfect, 'opponents', marshals, 1));
    expect(sentences.map((one) => one.name)).toEqual([
      ...['lanes', 'sitOut', 'duty', 'backToBack', 'opponents', 'neighbours', 'carryOver', 'timeOfNight'],
    ]);
    expect(sentences.map((one) => one.text)).toEqual(
      expect.arrayContaining([
        'Everybody runs every lane equally often.',
        'Everybody stands marshal once.',
        'Twelve times somebody drives two heats running: that cannot be avoided when everybody is to meet equally often.',
        'Everybody meets everybody exactly once. No rotation can do better.',
      ]),
    );
  });

  it('leave out marshals where none are wanted', () => {
    const certificate = certificateOf(perfect, 'opponents');
    expect(words.sentences(certificate).map((one) => one.name)).not.toContain('duty');
    expect(words.numbers(certificate)).toHaveLength(7);
  });

  it('claim the best of all only where everything is proved', () => {
    expect(words.headline(certificateOf([[1]], 'opponents'))).toBe('As fair as mathematics allows.');
    expect(words.headline(certificateOf(perfect, 'opponents'))).toMatch(
      /^Proved best in \w+ of seven points; .*(compromise for opponents|nothing better was found)/,
    );
    expect(words.headline(certificateOf([...perfect, [1, 2, 3, 4]], 'by hand'))).toContain(
      'a compromise because heats were changed by hand',
    );
  });

  it('give numbers, verdict and reason of each', () => {
    const halves = numbers(8).map((h) => (h % 2 === 1 ? [1, 2, 3, 4] : [5, 6, 7, 8]));
    const numbersOf = words.numbers(certificateOf(halves, 'rest'));
    expect(numbersOf.find((row) => row.name === 'opponents')).toEqual({
      name: 'opponents',
      label: 'Opponents',
      measure: 'meetings of two drivers, squared and added up over all pairs',
      achieved: '192 (0 to 4)',
      bound: '88',
      verdict: 'a compromise, for rest',
      why: 'It counts less than rest, and is proved to be the best with so few heats straight after another.',
    });
    expect(numbersOf.find((row) => row.name === 'backToBack')).toMatchObject({ achieved: '0', verdict: 'proved best' });
  });

  it.each([
    [[], ''],
    [[{ heat: 4, missing: 2 }], 'In heat 4 two marshal posts stay empty.'],
    [
      [
        { heat: 4, missing: 1 },
        { heat: 7, missing: 1 },
      ],
      'In each of the heats 4 and 7 one marshal post stays empty.',
    ],
    [
      [
        { heat: 4, missing: 1 },
        { heat: 7, missing: 2 },
      ],
      'In two heats marshal posts stay empty, at most two in one heat.',
    ],
    [numbers(9).map((heat) => ({ heat, missing: 3 })), 'In every heat three marshal posts stay empty.'],
  ])('names heats short of marshals: %j', (short, text) => expect(words.emptyPosts(short, 9)).toBe(text));
});
