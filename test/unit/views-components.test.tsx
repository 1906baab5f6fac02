import fc from 'fast-check';
import { type DefaultTreeAdapterTypes, parseFragment } from 'parse5';
import type { VNode } from 'preact';
import { describe, expect, test } from 'vitest';
import { Choice } from '../../views/components/choice.tsx';
import { ClockBar } from '../../views/components/clock-bar.tsx';
import { DataTable } from '../../views/components/data-table.tsx';
import { Field, SelectField, TextareaField } from '../../views/components/field.tsx';
import { Form } from '../../views/components/form.tsx';
import { FormErrors } from '../../views/components/form-errors.tsx';
import { hatch, markPaths } from '../../views/components/hatch.ts';
import { defaultLook, laneMarks, lanePatterns } from '../../views/components/lane-defaults.ts';
import { LaneMark } from '../../views/components/lane-mark.tsx';
import { Notice } from '../../views/components/notice.tsx';
import { ribbonPercent, ribbonSpan } from '../../views/components/pack.tsx';
import { QrCode } from '../../views/components/qr-code.tsx';
import { StateMark } from '../../views/components/state-mark.tsx';
import { renderFragment } from '../../views/html.ts';
import { common } from '../../views/texts/en/common.ts';
import { wallSizeCss, wallTypeVh } from '../../views/wall-size.ts';

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
const byId = (all: Element[], id: string) => all.find((element) => attribute(element, 'id') === id);

describe('fields', () => {
  const kinds: [string, (props: { hint?: string; error?: string }) => VNode][] = [
    ['input', (props) => <Field label="Nickname" name="nickname" value="Pip" {...props} />],
    ['select', (props) => <SelectField label="Class" name="nickname" options={[]} {...props} />],
    ['textarea', (props) => <TextareaField label="Note" name="nickname" {...props} />],
  ];
  test.each(kinds)('%s: label, hint and error are tied to the control by id', (tag, make) => {
    const all = elements(make({ hint: 'Short.', error: 'Taken.' }));
    const control = byTag(all, tag)[0];
    expect(attribute(byTag(all, 'label')[0], 'for')).toBe(attribute(control, 'id'));
    expect(attribute(control, 'aria-invalid')).toBe('true');
    const described = attribute(control, 'aria-describedby')?.split(' ') ?? [];
    expect(described).toHaveLength(2);
    for (const id of described) expect(byId(all, id)).toBeDefined();
  });

  test.each(kinds)('%s without hint and error points nowhere', (tag, make) => {
    const control = byTag(elements(make({})), tag)[0];
    expect(attribute(control, 'aria-describedby')).toBeNull();
    expect(attribute(control, 'aria-invalid')).toBeNull();
  });

  test('the typed value comes back, also 0, an empty text and markup', () => {
    const valueOf = (value: string | number | null) =>
      attribute(byTag(elements(<Field label="Laps" name="laps" value={value} />), 'input')[0], 'value');
    expect([valueOf(0), valueOf(''), valueOf('"><b>'), valueOf(null)]).toEqual(['0', '', '"><b>', null]);
  });

  test('a select shows the chosen option whether it came as number or text', () => {
    const chosen = (value: string | number | null) =>
      byTag(
        elements(
          <SelectField
            label="Lane"
            name="lane"
            value={value}
            blank
            options={[
              { value: 1, label: 'One' },
              { value: 2, label: 'Two' },
            ]}
          />,
        ),
        'option',
      )
        .filter((option) => attribute(option, 'selected') !== null)
        .map((option) => attribute(option, 'value'));
    expect([chosen(2), chosen('2'), chosen(null)]).toEqual([['2'], ['2'], ['']]);
  });

  test('an error summary leads to controls that exist, and is nothing without errors', () => {
    const errors = { nickname: 'Taken.', length: 'Choose one.', '': 'The heat has started.' };
    const all = elements(
      <>
        <FormErrors errors={errors} />
        <Field label="Nickname" name="nickname" error={errors.nickname} />
        <Choice legend="Length" name="length" error={errors.length} options={[{ value: 1, label: '1 minute' }]} />
      </>,
    );
    const links = byTag(all, 'a').map((link) => attribute(link, 'href')?.slice(1) ?? '');
    expect(links).toEqual(['nickname', 'length']);
    for (const id of links) expect(byId(all, id)).toBeDefined();
    expect(renderFragment(<FormErrors errors={{}} />)).toBe('');
  });

  test('a form that posts carries token and command id; one that searches does not show the token', () => {
    const hidden = (node: VNode) => byTag(elements(node), 'input').map((input) => attribute(input, 'name'));
    const fields = { csrf: 'token', commandId: 'a-uuid', hidden: { heat: 4, lane: null } };
    expect(hidden(<Form action="/x" {...fields} children={null} />)).toEqual(['csrf', 'command_id', 'heat']);
    expect(hidden(<Form action="/x" method="get" csrf="token" children={null} />)).toEqual([]);
  });
});

describe('tables', () => {
  const columns = [
    { key: 'name', head: 'Driver', rowHead: true, cell: (row: string) => row },
    { key: 'laps', head: 'Laps', numeric: true, cell: (_row: string, index: number) => index },
  ];

  test('have a caption, scopes, stable row ids and a scrolling region for the keyboard', () => {
    const all = elements(
      <DataTable id="t" caption="Result" columns={columns} rows={['Pip', 'Bo']} rowKey={(r) => r} />,
    );
    expect(byTag(all, 'caption')).toHaveLength(1);
    expect(byTag(all, 'th').map((head) => attribute(head, 'scope'))).toEqual(['col', 'col', 'row', 'row']);
    expect(byId(all, 't-Bo')?.tagName).toBe('tr');
    expect(attribute(byTag(all, 'section')[0], 'tabindex')).toBe('0');
  });

  test('say so when they are empty', () => {
    expect(renderFragment(<DataTable caption="Result" columns={columns} rows={[]} rowKey={(r) => r} />)).toContain(
      common.table.nothing,
    );
  });
});

describe('lanes', () => {
  test('sixteen lanes differ in number and word-and-pattern', () => {
    const looks = Array.from({ length: 16 }, (_, index) => defaultLook(index + 1));
    expect(new Set(looks.map(({ number }) => number)).size).toBe(16);
    expect(new Set(looks.map(({ colour, pattern }) => colour + pattern)).size).toBe(16);
    expect(new Set(looks.map(({ colour, mark }) => colour + mark)).size).toBe(16);
  });

  test('a mark is named by number and colour word, and silent where the words stand beside it', () => {
    const svg = (node: VNode) => byTag(elements(node), 'svg')[0];
    expect(attribute(svg(<LaneMark lane={defaultLook(3)} />), 'aria-label')).toBe('Lane 3, sky blue');
    expect(attribute(svg(<LaneMark lane={defaultLook(3)} decorative />), 'aria-hidden')).toBe('true');
  });

  test('every pattern but solid draws something, all of it inside its box, each different', () => {
    const box = { x: 10, y: 20, width: 16, height: 24 };
    const drawn = lanePatterns.map((pattern) => hatch(pattern, box, 4).d);
    expect(new Set(drawn).size).toBe(lanePatterns.length);
    expect(drawn[0]).toBe('');
    for (const path of drawn.slice(1)) {
      expect(path.length).toBeGreaterThan(20);
      for (const [, x, y] of path.matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)) {
        expect(Number(x)).toBeGreaterThanOrEqual(box.x);
        expect(Number(x)).toBeLessThanOrEqual(box.x + box.width);
        expect(Number(y)).toBeGreaterThanOrEqual(box.y);
        expect(Number(y)).toBeLessThanOrEqual(box.y + box.height);
      }
    }
    expect(new Set(Object.values(markPaths)).size).toBe(laneMarks.length);
  });
});

test('every notice and every heat state has its own shape and word', () => {
  const shapeAndWord = (node: VNode) => {
    const html = renderFragment(node);
    return [/ d="([^"]+)"/.exec(html)?.[1], html.replace(/<[^>]+>/g, '')];
  };
  const notices = (['info', 'ok', 'warning', 'danger'] as const).map((kind) => shapeAndWord(<Notice kind={kind} />));
  const states = (Object.keys(common.heatState) as (keyof typeof common.heatState)[]).map((state) =>
    shapeAndWord(<StateMark state={state} />),
  );
  for (const group of [notices, states]) {
    expect(new Set(group.map(([shape]) => shape)).size).toBe(group.length);
    expect(new Set(group.map(([, word]) => word)).size).toBe(group.length);
    expect(group.every(([shape, word]) => shape && word)).toBe(true);
  }
});

describe('clock', () => {
  const clock = {
    atUs: 1_000_000_000,
    leftUs: 107_300_000,
    elapsedUs: 72_700_000,
    totalUs: 180_000_000,
    running: true,
  };

  test('is right without a script: digits, bar and the facts that a script goes on from', () => {
    const all = elements(<ClockBar clock={clock} />);
    const root = byId(all, 'clock');
    expect(JSON.parse(attribute(root, 'data-clock') ?? '')).toEqual(clock);
    expect(renderFragment(<ClockBar clock={clock} />)).toContain('>1:48<');
    const bar = byTag(all, 'progress')[0];
    expect([attribute(bar, 'value'), attribute(bar, 'max')]).toEqual(['107300000', '180000000']);
  });

  test('counts up in a heat over laps, whose bar is the laps done', () => {
    const up = { ...clock, leftUs: null, totalUs: null };
    const bar = byTag(elements(<ClockBar clock={up} laps={{ done: 7, of: 20 }} />), 'progress')[0];
    expect([attribute(bar, 'value'), attribute(bar, 'max'), attribute(bar, 'data-clock-bar')]).toEqual([
      '7',
      '20',
      null,
    ]);
    expect(renderFragment(<ClockBar clock={up} />)).toContain('>1:12<');
    expect(byTag(elements(<ClockBar clock={up} />), 'progress')).toEqual([]);
  });
});

describe('pack', () => {
  test('the leader stands at the end, and nobody further back stands ahead', () => {
    const gaps = fc.array(fc.double({ min: 0, max: 40, noNaN: true }), { minLength: 1, maxLength: 16 });
    fc.assert(
      fc.property(gaps, (gapLaps) => {
        const span = ribbonSpan([{ gapLaps: 0 }, ...gapLaps.map((gap) => ({ gapLaps: gap }))]);
        const places = [0, ...gapLaps].sort((a, b) => a - b).map((gap) => ribbonPercent(gap, span));
        return (
          places[0] === 100 &&
          places.every((at, i) => at >= 0 && at <= 100 && (i === 0 || at <= (places[i - 1] as number)))
        );
      }),
    );
  });

  test('half a lap of a two-lap ribbon is a quarter of the way; who has not crossed the line waits at the start', () => {
    expect(ribbonPercent(0.5, 2)).toBe(75);
    expect(ribbonPercent(null, 2)).toBe(0);
    expect(ribbonSpan([{ gapLaps: 0 }, { gapLaps: null }])).toBe(1);
  });
});

test('a code to scan has the three corner squares of ISO/IEC 18004, a quiet zone of four, and its address as text', () => {
  const address = 'https://example.org/j/K7M2QX';
  const all = elements(<QrCode address={address} code="K7M2QX" />);
  const size = Number(
    attribute(byTag(all, 'svg')[0], 'viewbox')?.split(' ')[2] ??
      attribute(byTag(all, 'svg')[0], 'viewBox')?.split(' ')[2],
  );
  const dark = new Set(
    [...(attribute(byTag(all, 'path')[1], 'd') ?? '').matchAll(/M(\d+) (\d+)/g)].map((m) => `${m[1]},${m[2]}`),
  );
  // Sides are 4 x version + 17 modules, here with four of quiet zone on both sides.
  expect((size - 8 - 17) % 4).toBe(0);
  const ring = (dx: number, dy: number) => Math.max(Math.abs(dx), Math.abs(dy));
  for (const [cx, cy] of [
    [7, 7],
    [size - 8, 7],
    [7, size - 8],
  ] as const) {
    for (let dx = -3; dx <= 3; dx += 1) {
      for (let dy = -3; dy <= 3; dy += 1) expect(dark.has(`${cx + dx},${cy + dy}`)).toBe(ring(dx, dy) !== 2);
    }
  }
  for (const module of dark) {
    for (const at of module.split(',').map(Number)) expect(at >= 4 && at < size - 4).toBe(true);
  }
  expect(attribute(byTag(all, 'a')[0], 'href')).toBe(address);
});

describe('size of the wall', () => {
  // 2 d tan(θ/2) by hand: 22 minutes of arc at 5 m are 32.0 mm; a 43-inch screen of 16 to 9 is 535.5 mm high.
  test('43 inches from 5 metres', () => {
    const capMm = (wallTypeVh(43, 5) / 100) * 535.5 * 0.672;
    expect(capMm).toBeGreaterThan(31.9);
    expect(capMm).toBeLessThan(32.1);
    expect(wallSizeCss(43, 5)).toBe(`:root{--wall-h:${wallTypeVh(43, 5)}vh}\n`);
  });

  test('twice the distance needs twice the type, twice the screen half of it', () => {
    expect(wallTypeVh(50, 8)).toBeCloseTo(2 * wallTypeVh(50, 4), 1);
    expect(wallTypeVh(80, 4)).toBeCloseTo(wallTypeVh(40, 4) / 2, 1);
  });

  test('what is no screen or distance is refused', () => {
    for (const [inches, metres] of [
      [0, 5],
      [43, -1],
      [Number.NaN, 5],
      [43, Number.POSITIVE_INFINITY],
    ] as const) {
      expect(() => wallTypeVh(inches, metres)).toThrow(RangeError);
    }
  });
});
