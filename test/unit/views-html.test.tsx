import { parse } from 'parse5';
import type { VNode } from 'preact';
import { expect, test } from 'vitest';
import { Form } from '../../views/components/form.tsx';
import { renderFragment, renderPage } from '../../views/html.ts';

/** Lets a test write what the types forbid. */
const loose = (value: unknown) => value as never;

test('text and attributes are escaped', () => {
  const name = '<img src=x onerror=alert(1)> & "friends"';
  expect(renderFragment(<p title={name}>{name}</p>)).toBe(
    '<p title="&lt;img src=x onerror=alert(1)> &amp; &quot;friends&quot;">&lt;img src=x onerror=alert(1)> &amp; &quot;friends&quot;</p>',
  );
});

test('a page starts with the doctype, so that browsers use standards mode', () => {
  const html = renderPage(<html lang="en">{null}</html>);
  expect(parse(html)).toMatchObject({ mode: 'no-quirks' });
});

test.each([
  ['a date', new Date(0)],
  ['a map', new Map()],
  ['a plain object', { laps: 3 }],
  ['an object without prototype', Object.create(null)],
  ['a function', () => 'laps'],
  ['a date deep in a list', [['a', [new Date(0)]]]],
])('%s as child throws instead of rendering as nothing', (_what, child) => {
  expect(() => renderFragment(<p>{loose(child)}</p>)).toThrow(/<p> has a .* as child/);
});

test('strings, numbers, bigints, lists, elements and nothing may be children', () => {
  const children = ['a', 1, 2n, null, undefined, false, <b key="b">c</b>, [0, 'd']];
  expect(renderFragment(<p>{loose(children)}</p>)).toBe('<p>a12<b>c</b>0d</p>');
});

test.each(['onclick', 'onClick', 'onerror', 'hx-on:click', 'hx-on--load', 'style', 'dangerouslySetInnerHTML'])(
  'the attribute %s is refused',
  (name) => {
    expect(() => renderFragment(<p {...{ [name]: 'x' }} />)).toThrow(`may not have the attribute ${name}`);
  },
);

test.each(['javascript:alert(1)', ' JavaScript:alert(1)', 'java\nscript:alert(1)', 'vbscript:x'])(
  'the address %j is refused',
  (address) => {
    expect(() => renderFragment(<a href={address}>go</a>)).toThrow('script address');
    expect(() => renderFragment(<Form action={address}>go</Form>)).toThrow('script address');
  },
);

test('an address that only mentions a script passes', () => {
  const address = '/help/javascript:off';
  expect(renderFragment(<a href={address}>go</a>)).toContain(`href="${address}"`);
});

test('a component may take objects as properties', () => {
  const Lap = ({ lap }: { lap: { number: number } }): VNode => <b>{lap.number}</b>;
  expect(renderFragment(<Lap lap={{ number: 7 }} />)).toBe('<b>7</b>');
});

test('htmx attributes and partials pass through as written', () => {
  expect(
    renderFragment(
      <hx-partial hx-target="#board" hx-swap="outerMorph">
        <div id="board" hx-sse:connect="/live" />
      </hx-partial>,
    ),
  ).toBe(
    '<hx-partial hx-target="#board" hx-swap="outerMorph"><div id="board" hx-sse:connect="/live"></div></hx-partial>',
  );
});
