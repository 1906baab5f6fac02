import type { ComponentChildren, VNode } from 'preact';

/** Whatever may stand between tags, except what would be lost: see `views/html.ts`. */
export type Content = VNode | string | number | null | undefined | false | Content[];

/** The attributes that a component hands on to its own element, such as `hx-get` or `data-…`. */
export type PassedOn = {
  [name: `hx-${string}` | `data-${string}` | `aria-${string}`]: string | number | boolean | undefined;
};

export type { ComponentChildren };
