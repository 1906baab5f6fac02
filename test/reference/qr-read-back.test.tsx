import fc from 'fast-check';
import decodeQR from 'qr/decode.js';
import { describe, expect, test } from 'vitest';
import { qrText } from '../../server/profiles/exchange/short-code.ts';
import { defaultTuning } from '../../server/profiles/model/profile.ts';
import { QrSymbol } from '../../views/components/qr-symbol.tsx';
import { renderFragment } from '../../views/html.ts';
import { anyTuning } from '../helpers/tunings.ts';

/** What a phone would read. Source of the check: the decoder of the package `qr`, which shares no code with ours. */
function scanned(text: string): string {
  const svg = renderFragment(<QrSymbol text={text} label="to scan" />);
  const modules = Number(/viewBox="0 0 (\d+)/.exec(svg)?.[1]);
  const pixels = 6;
  const width = modules * pixels;
  const data = new Uint8Array(width * width * 4).fill(255);
  for (const [, x, y] of svg.matchAll(/M(\d+) (\d+)h1v1h-1z/g)) {
    for (let row = 0; row < pixels; row++) {
      const start = ((Number(y) * pixels + row) * width + Number(x) * pixels) * 4;
      for (let i = start; i < start + 4 * pixels; i++) if (i % 4 !== 3) data[i] = 0;
    }
  }
  return decodeQR({ width, height: width, data });
}

describe('a symbol that is drawn can be read', () => {
  test('a profile by itself, and with its name', () => {
    for (const name of [null, 'Cellar, long runs']) {
      const text = qrText(defaultTuning, name);
      expect(scanned(text)).toBe(text);
    }
  });

  test('any profile', () => {
    fc.assert(
      fc.property(
        anyTuning,
        fc.option(fc.string({ minLength: 1, maxLength: 20, unit: 'grapheme' })),
        (tuning, name) => {
          const text = qrText(tuning, name?.trim() || null);
          expect(scanned(text)).toBe(text);
        },
      ),
      { numRuns: 40 },
    );
  });

  test('a link', () => {
    const link = 'https://race-night.example/s/Zm9vYmFyYmF6cXV4cXV1';
    expect(scanned(link)).toBe(link);
  });
});
