import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { laneDefaults } from '../../views/components/lane-defaults.ts';
import { contrast, inkOn, luminance } from '../../views/contrast.ts';

const css = readFileSync(new URL('../../views/assets/tokens.css', import.meta.url), 'utf8');

/** The colours of the block that follows `selector`. */
function tokens(selector: string): Record<string, string> {
  const start = css.indexOf(`${selector} {`);
  if (start < 0) throw new Error(`tokens.css has no ${selector}`);
  const block = css.slice(start, css.indexOf('}', start));
  return Object.fromEntries(
    [...block.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/g)].map(([, name, value]) => [name, value]),
  );
}

const paper = tokens(':root');
const hall = tokens(':root[data-theme="hall"]');
const themes = { paper, hall };

function ratio(theme: Record<string, string>, one: string, other: string): number {
  const [a, b] = [theme[one], theme[other]];
  if (a === undefined || b === undefined) throw new Error(`no token ${one} or ${other}`);
  return contrast(a, b);
}

describe('the formula', () => {
  test('black on white is 21, the ends of the scale in WCAG 2.2', () => {
    expect(luminance('#000000')).toBe(0);
    expect(luminance('#FFFFFF')).toBeCloseTo(1, 10);
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 10);
  });

  // #767676 and #949494 are the lightest greys that reach 4.5 and 3 on white (WebAIM, "Contrast and Color
  // Accessibility", gives #767676 as 4.54:1); the pure colours are worked out in the same article's checker.
  test.each([
    ['#767676', '#FFFFFF', 4.54],
    ['#777777', '#FFFFFF', 4.48],
    ['#949494', '#FFFFFF', 3.03],
    ['#FF0000', '#FFFFFF', 4.0],
    ['#0000FF', '#FFFFFF', 8.59],
    ['#008000', '#FFFFFF', 5.14],
  ])('%s on %s is %d', (one, other, published) => {
    expect(contrast(one, other)).toBeCloseTo(published, 2);
    expect(contrast(other, one)).toBe(contrast(one, other));
  });

  test.each(['#fff', 'red', '#GGGGGG', ''])('%j is no colour', (text) => {
    expect(() => luminance(text)).toThrow(RangeError);
  });
});

describe('tokens', () => {
  test('all colours are read, and the same ones in both themes', () => {
    expect(Object.keys(paper).length).toBeGreaterThan(15);
    expect(Object.keys(hall).sort()).toEqual(Object.keys(paper).sort());
  });

  test('the dark system preference gives exactly the hall', () => {
    expect(tokens(':root[data-theme="auto"]')).toEqual(hall);
  });

  const onGround = ['ink', 'ink-soft', 'accent', 'accent-strong', 'ok', 'warning', 'danger'];
  const washes = [
    ['ink', 'accent-wash'],
    ['ink', 'ok-wash'],
    ['ink', 'warning-wash'],
    ['ink', 'danger-wash'],
    ['ink-soft', 'accent-wash'],
    ['accent', 'accent-wash'],
    ['ok', 'ok-wash'],
    ['warning', 'warning-wash'],
    ['danger', 'danger-wash'],
    ['on-accent', 'accent'],
    ['on-accent', 'accent-strong'],
    ['ground', 'ink'],
  ] as const;

  for (const [name, theme] of Object.entries(themes)) {
    test.each(onGround)(`${name}: %s keeps 7:1 on the ground, as the wall needs it`, (token) => {
      expect(ratio(theme, token, 'ground')).toBeGreaterThanOrEqual(7);
    });

    test.each(onGround)(`${name}: %s keeps 4.5:1 on sheet and sunken ground`, (token) => {
      expect(ratio(theme, token, 'sheet')).toBeGreaterThanOrEqual(4.5);
      expect(ratio(theme, token, 'sunk')).toBeGreaterThanOrEqual(4.5);
    });

    test.each(washes)(`${name}: %s on %s keeps 4.5:1`, (text, ground) => {
      expect(ratio(theme, text, ground)).toBeGreaterThanOrEqual(4.5);
    });

    test.each(['ground', 'sheet', 'sunk'])(`${name}: edges, bars and focus keep 3:1 on %s`, (ground) => {
      expect(ratio(theme, 'edge', ground)).toBeGreaterThanOrEqual(3);
      expect(ratio(theme, 'accent', ground)).toBeGreaterThanOrEqual(3);
    });

    test(`${name}: a bar keeps 3:1 against its empty part`, () => {
      expect(ratio(theme, 'accent', 'track')).toBeGreaterThanOrEqual(3);
    });

    test.each(laneDefaults)(
      `${name}: the mark of the $name lane keeps 3:1 by its fill or its outline`,
      ({ colour }) => {
        for (const around of ['ground', 'sheet', 'track', 'accent-wash']) {
          const fill = contrast(colour, theme[around] as string);
          const outline = ratio(theme, 'lane-edge', around);
          expect(Math.max(fill, outline)).toBeGreaterThanOrEqual(3);
        }
      },
    );
  }
});

describe('lanes', () => {
  // Colours: Okabe and Ito, "Color Universal Design" (2008), as kept in published palette packages; the order and white
  // in the place of black are ours.
  const published = ['#E69F00', '#56B4E9', '#009E73', '#F0E442', '#0072B2', '#D55E00', '#CC79A7'];

  test('are the published palette, each colour once', () => {
    const own = laneDefaults.map(({ colour }) => colour);
    expect([...own].sort()).toEqual([...published, '#FFFFFF'].sort());
  });

  test('differ in pattern, mark and word', () => {
    for (const key of ['pattern', 'mark', 'name'] as const) {
      expect(new Set(laneDefaults.map((lane) => lane[key])).size).toBe(laneDefaults.length);
    }
  });

  test.each(laneDefaults)('the number on $name keeps 4.5:1', ({ colour }) => {
    expect(contrast(inkOn(colour), colour)).toBeGreaterThanOrEqual(4.5);
  });

  test('white ink is for blue alone', () => {
    expect(laneDefaults.filter(({ colour }) => inkOn(colour) === '#FFFFFF').map(({ name }) => name)).toEqual(['blue']);
  });
});
