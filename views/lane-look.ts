/** How a club's own lanes look: the colour as a word, and which lanes could be taken for each other. */
import type { LaneLook, LanePattern } from './components/lane-defaults.ts';
import { linear } from './contrast.ts';
import { colourWords } from './texts/en/tracks.ts';

/** A lane as it is stored. */
type StoredLane = { number: number; colour: string; pattern: string };

type Lab = readonly [lightness: number, a: number, b: number];

/**
 * CIE 1976 L*a*b* of an sRGB colour, white point D65. Matrix and white point: IEC 61966-2-1; formula: CIE 15.
 *
 * @param colour `#rrggbb`
 */
export function labOf(colour: string): Lab {
  const [r, g, b] = [1, 3, 5].map((at) => linear(Number.parseInt(colour.slice(at, at + 2), 16))) as [
    number,
    number,
    number,
  ];
  const x = (0.4124564 * r + 0.3575761 * g + 0.1804375 * b) / 0.95047;
  const y = 0.2126729 * r + 0.7151522 * g + 0.072175 * b;
  const z = (0.0193339 * r + 0.119192 * g + 0.9503041 * b) / 1.08883;
  const [fx, fy, fz] = [x, y, z].map((t) => (t > 216 / 24389 ? Math.cbrt(t) : ((24389 / 27) * t + 16) / 116)) as [
    number,
    number,
    number,
  ];
  return [116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)];
}

/** Colour difference CIE76 ΔE*ab of two colours `#rrggbb`: 0 for the same, about 2 for just to be told apart. */
export function colourDifference(one: string, other: string): number {
  const a = labOf(one);
  const b = labOf(other);
  return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

/** The word that comes nearest to a colour: for calls, cards and screen readers. */
export function colourWord(colour: string): string {
  let nearest = { word: '', distance: Number.POSITIVE_INFINITY };
  for (const [sample, word] of Object.entries(colourWords)) {
    const distance = colourDifference(colour, sample);
    if (distance < nearest.distance) nearest = { word, distance };
  }
  return nearest.word;
}

/** A stored lane as components show it, its colour in a word. */
export function laneLook({ number, colour, pattern }: StoredLane): LaneLook {
  return { number, colour, pattern: pattern as LanePattern, name: colourWord(colour) };
}

/**
 * Pairs of lanes that people could take for each other: neighbours whose colours differ by less than 25, and other
 * lanes of one pattern whose colours differ by less than 15 (CIE76 ΔE). For ordinary sight only: no colour vision
 * deficiency is simulated.
 */
export function lanesAlike(lanes: readonly StoredLane[]): { one: number; other: number }[] {
  return lanes.flatMap((one, index) =>
    lanes
      .slice(index + 1)
      .filter((other, step) => {
        const difference = colourDifference(one.colour, other.colour);
        return step === 0 ? difference < 25 : one.pattern === other.pattern && difference < 15;
      })
      .map((other) => ({ one: one.number, other: other.number })),
  );
}
