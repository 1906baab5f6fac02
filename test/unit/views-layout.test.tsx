import { existsSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { type DefaultTreeAdapterTypes, parse } from 'parse5';
import type { VNode } from 'preact';
import { describe, expect, test } from 'vitest';
import { renderPage } from '../../views/html.ts';
import { Page, type Shell } from '../../views/layout.tsx';

const shell: Shell = {
  clubName: 'Owls & Friends',
  home: '/c/owls',
  role: 'director',
  csrf: 'token-1',
  commandId: 'command-1',
  path: '/c/owls/results',
  theme: 'auto',
  lang: 'en',
  navigation: [
    { href: '/c/owls', label: 'Tonight' },
    { href: '/c/owls/results', label: 'Results' },
  ],
};

type Element = DefaultTreeAdapterTypes.Element;

function elements(page: VNode): Element[] {
  const all: Element[] = [];
  const visit = (parent: DefaultTreeAdapterTypes.ParentNode) => {
    for (const child of parent.childNodes) {
      if (!('tagName' in child)) continue;
      all.push(child);
      visit(child);
    }
  };
  visit(parse(renderPage(page)));
  return all;
}

const get = (element: Element | undefined, name: string) =>
  element?.attrs.find((one) => one.name === name)?.value ?? null;
const byTag = (all: Element[], tag: string) => all.filter(({ tagName }) => tagName === tag);
const meta = (all: Element[], name: string) =>
  get(
    byTag(all, 'meta').find((one) => get(one, 'name') === name),
    'content',
  );

describe('the frame of a page', () => {
  const all = elements(
    <Page shell={shell} title="Results" heading="Results" status="Saved.">
      <p>Text</p>
    </Page>,
  );

  test('carries language, title, token and theme, and asks not to be listed', () => {
    expect(get(byTag(all, 'html')[0], 'lang')).toBe('en');
    expect(get(byTag(all, 'html')[0], 'data-theme')).toBe('auto');
    expect(byTag(all, 'title')[0]?.childNodes[0]).toMatchObject({ value: 'Results · Owls & Friends' });
    expect(meta(all, 'csrf-token')).toBe('token-1');
    expect(meta(all, 'robots')).toBe('noindex');
    expect(JSON.parse(meta(all, 'htmx-config') ?? '')).toMatchObject({ extensions: 'sse' });
  });

  test('has one way past the header, one heading, and the two regions that speak', () => {
    const first = byTag(all, 'a')[0];
    expect(all.some((element) => `#${get(element, 'id')}` === get(first, 'href'))).toBe(true);
    expect(byTag(all, 'h1')).toHaveLength(1);
    expect(all.filter((element) => get(element, 'role') === 'status').map((one) => get(one, 'id'))).toEqual(['status']);
    expect(all.filter((element) => get(element, 'role') === 'alert').map((one) => get(one, 'id'))).toEqual(['alert']);
  });

  test('marks the present place in the navigation', () => {
    const current = byTag(all, 'a').filter((link) => get(link, 'aria-current') === 'page');
    expect(current.map((link) => get(link, 'href'))).toEqual(['/c/owls/results']);
  });

  test('holds no script or style of its own, and every sheet it names exists', () => {
    for (const script of byTag(all, 'script')) {
      expect(script.childNodes).toEqual([]);
      expect(get(script, 'src')).toMatch(/^\/assets\//);
    }
    expect(byTag(all, 'style')).toEqual([]);
    const sheets = byTag(all, 'link').map((link) => get(link, 'href') ?? '');
    expect(sheets).toContain('/assets/lanewise.css');
    // The joined sheet is made by the assets plugin.
    for (const href of sheets.filter((sheet) => sheet !== '/assets/lanewise.css')) {
      expect(existsSync(new URL(`../../views${href}`, import.meta.url)), href).toBe(true);
    }
  });

  test('shows no token where there is none', () => {
    const page = (
      <Page shell={{ ...shell, csrf: null }} title="Hall">
        {null}
      </Page>
    );
    expect(meta(elements(page), 'csrf-token')).toBeNull();
  });
});

describe('the wall', () => {
  const wall = (theme: Shell['theme']) =>
    elements(
      <Page shell={{ ...shell, theme }} title="Wall" kind="wall">
        {null}
      </Page>,
    );

  test('is dark unless it was told otherwise', () => {
    expect(get(byTag(wall('auto'), 'html')[0], 'data-theme')).toBe('hall');
    expect(get(byTag(wall('paper'), 'html')[0], 'data-theme')).toBe('paper');
  });

  test('has nothing to press', () => {
    expect(byTag(wall('auto'), 'a')).toEqual([]);
    expect(byTag(wall('auto'), 'nav')).toEqual([]);
  });
});

test('the browser frames a page in the ground of its theme', () => {
  const css = readFileSync(new URL('../../views/assets/tokens.css', import.meta.url), 'utf8');
  const [paper, hall] = [...css.matchAll(/--ground: (#\w+);/g)].map((match) => match[1]);
  const colour = (theme: Shell['theme']) =>
    meta(
      elements(
        <Page shell={{ ...shell, theme }} title="Hall">
          {null}
        </Page>,
      ),
      'theme-color',
    );
  expect([colour('paper'), colour('hall')]).toEqual([paper, hall]);
});

test('every font file that the style sheets name is in the font packages', () => {
  const css = readFileSync(new URL('../../views/assets/tokens.css', import.meta.url), 'utf8');
  const require = createRequire(import.meta.url);
  const files = [...css.matchAll(/url\("\/assets\/fonts\/(next|mono)\/([^"]+)"\)/g)];
  expect(files).toHaveLength(4);
  for (const [, face, file] of files) {
    const manifest = require.resolve(`@fontsource-variable/atkinson-hyperlegible-${face}/package.json`);
    expect(existsSync(manifest.replace('package.json', `files/${file}`)), file).toBe(true);
  }
});
