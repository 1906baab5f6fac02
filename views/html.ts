/**
 * The only door from components to HTML text. Importing it arms a guard that refuses what would go wrong without a
 * word: children that render as nothing, and attributes that the content security policy blocks.
 */
import { isValidElement, options, type VNode } from 'preact';
import { renderToString } from 'preact-render-to-string';

declare module 'preact' {
  namespace JSX {
    interface IntrinsicElements {
      /** One region of a live frame: htmx moves its content into the element that `hx-target` names. */
      'hx-partial': { 'hx-target': string; 'hx-swap': string; children?: ComponentChildren };
    }
  }
}

const urlAttributes = new Set(['href', 'src', 'action', 'formaction', 'hx-get', 'hx-post', 'hx-sse:connect']);
const blockedAttribute = /^on|^hx-on|^style$|^dangerouslySetInnerHTML$/i;

// Browsers drop these characters inside a scheme.
const ignoredInScheme = /[\u0000-\u0020]/g;

function refuseScriptUrl(tag: string, name: string, value: unknown): void {
  if (typeof value === 'string' && /^(javascript|vbscript):/i.test(value.replace(ignoredInScheme, ''))) {
    throw new TypeError(`<${tag}> has a script address in ${name}`);
  }
}

function refuseLostChild(parent: string, child: unknown): void {
  if (Array.isArray(child)) {
    for (const one of child) refuseLostChild(parent, one);
  } else if (typeof child === 'function' || (typeof child === 'object' && child !== null && !isValidElement(child))) {
    throw new TypeError(
      `<${parent}> has a ${child.constructor?.name ?? 'bare object'} as child: it would render as nothing`,
    );
  }
}

const earlierHook = options.vnode;
options.vnode = (vnode: VNode) => {
  const { type } = vnode;
  const props = vnode.props as Record<string, unknown>;
  if (typeof type === 'string') {
    for (const name of Object.keys(props)) {
      if (blockedAttribute.test(name)) throw new TypeError(`<${type}> may not have the attribute ${name}`);
      if (urlAttributes.has(name.toLowerCase())) refuseScriptUrl(type, name, props[name]);
    }
    refuseLostChild(type, props.children);
  }
  earlierHook?.(vnode);
};

/**
 * A whole page as text.
 *
 * @param page a `<Page>` element
 * @throws TypeError when a component holds a child that cannot be shown or an attribute the policy blocks
 */
export function renderPage(page: VNode): string {
  return `<!doctype html>${renderToString(page)}`;
}

/** A piece of a page as text: the answer to an htmx request or a region of a live frame. Throws like `renderPage`. */
export function renderFragment(fragment: VNode): string {
  return renderToString(fragment);
}
