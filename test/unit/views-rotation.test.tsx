import { type DefaultTreeAdapterTypes, parseFragment } from 'parse5';
import type { VNode } from 'preact';
import { describe, expect, test } from 'vitest';
import type { Certificate } from '../../server/rotation/rotation.ts';
import { CertificateWords } from '../../views/components/certificate.tsx';
import { defaultLook } from '../../views/components/lane-defaults.ts';
import { NightLine } from '../../views/components/night-line.tsx';
import { PairMatrix } from '../../views/components/pair-matrix.tsx';
import { type GridHeat, RotationGrid } from '../../views/components/rotation-grid.tsx';
import { renderFragment } from '../../views/html.ts';
import { certificate as words } from '../../views/texts/en/certificate.ts';

type Element = DefaultTreeAdapterTypes.Element;

/** Every element of the rendered component, read by a standard HTML parser. */
function elements(node: VNode): Element[] {
  const all: Element[] = [];
  const visit = (parent: DefaultTreeAdapterTypes.ParentNode) => {
    for (const child of parent.childNodes) {
      if (!('tagName' in child)) continue;
      all.push(child);
      visit(child);
    }
  };
  visit(parseFragment(renderFragment(node)));
  return all;
}

const attribute = (element: Element | undefined, name: string) =>
  element?.attrs.find((one) => one.name === name)?.value ?? null;
const byTag = (all: Element[], tag: string) => all.filter(({ tagName }) => tagName === tag);
const byClass = (all: Element[], name: string) =>
  all.filter((element) => (attribute(element, 'class') ?? '').split(' ').includes(name));
const text = (node: DefaultTreeAdapterTypes.Node): string =>
  'value' in node ? node.value : 'childNodes' in node ? node.childNodes.map(text).join('') : '';

const lanes = (n: number) => Array.from({ length: n }, (_, i) => defaultLook(i + 1));
const nasty = '<b>&"\'</b>';
const driver = (key: string, name = key) => ({ key, name, href: `/x?driver=${key}` });

describe('grid', () => {
  const heat = (number: number, more: Partial<GridHeat>): GridHeat => ({
    key: `h${number}`,
    number,
    stage: 'planned',
    rerunOf: null,
    seats: [],
    marshals: [],
    ...more,
  });
  const [a, b, c] = [driver('a', nasty), driver('b'), driver('c')];
  const grid = (heats: readonly GridHeat[], path: string | null = null, n = 2) => (
    <RotationGrid id="rotation" caption="Heats" lanes={lanes(n)} blocks={[{ title: null, heats }]} path={path} />
  );

  test('names are text, whatever they hold, and every one leads to its path', () => {
    const all = elements(grid([heat(1, { seats: [a, b], marshals: [c] })]));
    expect(byTag(all, 'b')).toEqual([]);
    expect(byTag(all, 'a').map(text)).toEqual([nasty, 'b', 'c']);
    expect(byTag(all, 'a').map((link) => attribute(link, 'href'))).toEqual([a, b, c].map(({ href }) => href));
  });

  test('a row a heat, a column a lane; an empty seat says so', () => {
    const all = elements(grid([heat(1, { seats: [null, b] }), heat(2, { seats: [b, null] })]));
    const rows = byTag(all, 'tr').slice(1);
    expect(rows.map((row) => byTag(childrenOf(row), 'td').map((cell) => text(cell)))).toEqual([
      ['–', 'b'],
      ['b', '–'],
    ]);
    expect(byTag(all, 'th').map((head) => attribute(head, 'scope'))).toEqual(['col', 'col', 'col', 'row', 'row']);
  });

  test('a path is one line over the rows between its ends; the driver’s seats are marked', () => {
    const heats = [
      heat(1, { seats: [b, null] }),
      heat(2, { seats: [a, b] }),
      heat(3, { seats: [b, null], marshals: [a] }),
      heat(4, { seats: [b, a] }),
    ];
    const all = elements(grid(heats, 'a'));
    expect(byClass(all, 'path-line')).toHaveLength(3);
    const drawn = byClass(all, 'path-line').flatMap((svg) => byTag(childrenOf(svg), 'path'));
    expect(drawn.map((path) => attribute(path, 'd'))).toEqual([
      'M0.5 0.5L0.75 1',
      'M0.75 0L1 0.5',
      'M1 0.5L1.25 1',
      'M1.25 0L1.5 0.5',
    ]);
    expect(drawn.every((path) => attribute(path, 'class') === 'path-rests')).toBe(true);
    expect(byClass(all, 'seat-mine').map((seat) => seat.tagName)).toEqual(['span', 'span', 'span']);
    expect(byClass(elements(grid(heats)), 'path-line')).toEqual([]);
  });

  test('what is over, armed or run again says so in words', () => {
    const all = elements(
      grid([heat(1, { stage: 'run' }), heat(2, { stage: 'void' }), heat(3, { stage: 'armed', rerunOf: 2 })]),
    );
    expect(byTag(all, 'tbody').map(text)).toEqual(['1 run2 void3 armed heat 2 again']);
  });

  test('groups have headings of their own', () => {
    const blocks = [1, 2].map((n) => ({ title: `Group ${n}`, heats: [heat(n, { seats: [a, b] })] }));
    const all = elements(<RotationGrid id="r" caption="Heats" lanes={lanes(2)} blocks={blocks} path={null} />);
    const heads = byTag(all, 'th').filter((head) => attribute(head, 'scope') === 'rowgroup');
    expect(heads.map(text)).toEqual(['Group 1', 'Group 2']);
    expect(byTag(all, 'tbody')).toHaveLength(2);
  });

  test('one heat on sixteen lanes', () => {
    const all = elements(grid([heat(1, { seats: lanes(16).map(() => b) })], 'b', 16));
    expect(byClass(all, 'rotation-lanes-16')).toHaveLength(1);
    expect(byClass(all, 'rotation-seat')).toHaveLength(16);
  });
});

const childrenOf = (element: Element) => element.childNodes.filter((child): child is Element => 'tagName' in child);

describe('who meets whom', () => {
  const people = (n: number) =>
    Array.from({ length: n }, (_, i) => ({ key: `e${i}`, name: i === 0 ? nasty : `D${i}` }));
  const meetings = (n: number) => people(n).map((_, i) => people(n).map((_, j) => (i + j) % 4));

  test('a cell a pair, each with its number, and the same in the table', () => {
    const all = elements(<PairMatrix id="pairs" drivers={people(5)} meetings={meetings(5)} />);
    const counts = byClass(all, 'pair-count').map(text);
    expect(counts).toEqual(['1', '2', '3', '3', '0', '1', '0', '1', '2', '3']);
    const cells = byTag(all, 'td')
      .map(text)
      .filter((cell) => cell !== '');
    expect(cells).toEqual(counts);
    expect(byTag(all, 'b')).toEqual([]);
    expect(byClass(all, 'pair-name').map(text)).toEqual([nasty, 'D1', 'D2', 'D3', 'D4']);
  });

  test('with 60 drivers the numbers are in the table alone', () => {
    const all = elements(<PairMatrix id="pairs" drivers={people(60)} meetings={meetings(60)} />);
    expect(byClass(all, 'pair-count')).toEqual([]);
    expect(byClass(all, 'pair-cell').filter((cell) => attribute(cell, 'x') !== '1')).toHaveLength((60 * 59) / 2);
    expect(byTag(all, 'td').filter((cell) => text(cell) !== '')).toHaveLength((60 * 59) / 2);
  });

  test('the drawing has a title and a description, the shades a legend that counts all pairs', () => {
    const all = elements(<PairMatrix id="pairs" drivers={people(4)} meetings={meetings(4)} />);
    const drawing = all.find((element) => attribute(element, 'role') === 'img');
    const described = attribute(drawing, 'aria-describedby');
    expect(text(all.find((element) => attribute(element, 'id') === described) as Element)).toContain('from 0 to 3');
    const pairs = byClass(all, 'picture-key')
      .map(text)
      .join()
      .matchAll(/(\d+) pairs?/g);
    expect([...pairs].reduce((sum, [, n]) => sum + Number(n), 0)).toBe(6);
  });

  test('one driver alone meets nobody', () => {
    expect(renderFragment(<PairMatrix id="pairs" drivers={people(1)} meetings={[[0]]} />)).toBe('');
  });
});

describe('the night', () => {
  const night = (n: number, heats: number) => (
    <NightLine
      id="night"
      heats={Array.from({ length: heats }, (_, h) => ({ key: `h${h}`, number: h + 1, over: h === 0 }))}
      lines={Array.from({ length: n }, (_, d) => ({
        key: `e${d}`,
        name: d === 0 ? nasty : `D${d}`,
        duties: Array.from({ length: heats }, (_, h) =>
          (d + h) % 3 === 0
            ? ({ kind: 'drive', lane: (h % 2) + 1 } as const)
            : (d + h) % 3 === 1
              ? ({ kind: 'marshal', post: 1 } as const)
              : ({ kind: 'rest' } as const),
        ),
        drives: 0,
        marshals: 1,
      }))}
      lanes={lanes(2)}
      emptyPosts={Array.from({ length: heats }, (_, h) => h % 2)}
      times={null}
    />
  );

  test('each duty is a mark with its name, a rest is an empty cell', () => {
    const all = elements(night(3, 3));
    const rows = byTag(byTag(all, 'tbody').flatMap(childrenOf), 'tr');
    const cells = rows.map((row) =>
      byTag(childrenOf(row), 'td')
        .slice(0, 3)
        .map((cell) => attribute(childrenOf(cell)[0], 'aria-label')),
    );
    expect(cells).toEqual([
      ['Lane 1, purple', 'Marshal, post 1', null],
      ['Marshal, post 1', null, 'Lane 1, purple'],
      [null, 'Lane 2, yellow', 'Marshal, post 1'],
    ]);
    expect(byTag(all, 'b')).toEqual([]);
    expect(text(byTag(all, 'tfoot')[0] as Element)).toBe('Posts empty1');
  });

  test('60 drivers in 60 heats stay a page of moderate size', () => {
    expect(renderFragment(night(60, 60)).length).toBeLessThan(700_000);
  });
});

describe('the certificate', () => {
  const proved = { bound: 0, verdict: 'proved best', why: 'bound reached' } as const;
  const fair: Certificate = {
    lanes: { ...proved, why: 'theorem', spread: 0 },
    opponents: { ...proved, bound: 78, min: 1, max: 1, sumSquares: 78, spreadBound: 0 },
    backToBack: { bound: 12, verdict: 'best known', why: 'searched', count: 13 },
    sitOut: { bound: 3, verdict: 'compromise', why: 'for opponents', longest: 5 },
    neighbours: { ...proved, max: 1, sumSquares: 39 },
    carryOver: { ...proved, max: 1, sumSquares: 48 },
    duty: { ...proved, min: 2, max: 2, spread: 0, shortage: 0 },
    timeOfNight: { ...proved, deviation: 0 },
  };

  test('the headline, a line for every point with its verdict by name, the numbers on demand', () => {
    const all = elements(<CertificateWords certificate={fair} />);
    expect(byClass(all, 'certificate-headline').map(text)).toEqual([words.headline(fair)]);
    const lines = byClass(all, 'certificate-lines').flatMap(childrenOf);
    expect(lines.map(text)).toEqual(words.sentences(fair).map((one) => one.text));
    const verdicts = lines.map((line) => attribute(childrenOf(line)[0], 'aria-label'));
    expect(verdicts.filter((verdict) => verdict === 'proved best')).toHaveLength(6);
    expect(verdicts).toContain('best known');
    expect(verdicts).toContain('a compromise');
    expect(attribute(byTag(all, 'details')[0], 'open')).toBeNull();
    const table = byTag(all, 'tbody').flatMap(childrenOf);
    expect(table).toHaveLength(8);
    expect(table.map(text).join()).toContain('78 (1 to 1)');
  });

  test('the three verdicts differ in shape', () => {
    const all = elements(<CertificateWords certificate={fair} />);
    const shapes = byClass(all, 'verdict-mark').map((mark) => [
      attribute(mark, 'aria-label'),
      childrenOf(mark)
        .map((path) => attribute(path, 'd'))
        .join(),
    ]);
    expect(new Set(shapes.map(([name]) => name)).size).toBe(3);
    expect(new Set(shapes.map(([name, shape]) => `${name} ${shape}`)).size).toBe(3);
    expect(new Set(shapes.map(([, shape]) => shape)).size).toBe(3);
  });

  test('side by side: each point in a few words, ids apart', () => {
    const html = renderFragment(
      <>
        <CertificateWords certificate={fair} compact id="one" />
        <CertificateWords certificate={fair} compact id="two" />
      </>,
    );
    const ids = [...html.matchAll(/ id="([^"]+)"/g)].map(([, id]) => id);
    expect(new Set(ids).size).toBe(ids.length);
    for (const fact of [
      'Opponents: <strong>once',
      'Two heats running: <strong>13 times',
      'Waiting: <strong>at most 5 heats',
    ]) {
      expect(html).toContain(fact);
    }
  });

  test('heats without enough marshals are named', () => {
    const said = words.emptyPosts([{ heat: 3, missing: 1 }], 8);
    expect(renderFragment(<CertificateWords certificate={fair} emptyPosts={said} />)).toContain(said);
  });
});
