import type { ComponentChildren } from 'preact';
import type { PassedOn } from './types.ts';

/** `primary`: the one action the page is for. `danger`: takes something away. `quiet` (default): everything else. */
export type ButtonKind = 'primary' | 'quiet' | 'danger';

interface ButtonProps extends PassedOn {
  kind?: ButtonKind | undefined;
  /** Default `submit`: a button stands in a form and works without scripts. */
  type?: 'submit' | 'button' | 'reset' | undefined;
  name?: string | undefined;
  value?: string | number | undefined;
  id?: string | undefined;
  disabled?: boolean | undefined;
  /** Id of the form, for a button that stands outside it. */
  form?: string | undefined;
  /** Sends the form elsewhere than its `action`. */
  formaction?: string | undefined;
  formnovalidate?: boolean | undefined;
  /** Takes the full width of its column. */
  wide?: boolean | undefined;
  children: ComponentChildren;
}

function classes(kind: ButtonKind, wide: boolean | undefined): string {
  return `button button-${kind}${wide ? ' button-wide' : ''}`;
}

/** A button; its words are a verb and its object: "Start heat 4". */
export function Button({ kind = 'quiet', type = 'submit', wide, children, ...rest }: ButtonProps) {
  return (
    <button class={classes(kind, wide)} type={type} {...rest}>
      {children}
    </button>
  );
}

interface ButtonLinkProps extends PassedOn {
  href: string;
  kind?: ButtonKind | undefined;
  id?: string | undefined;
  wide?: boolean | undefined;
  /** Offers the target as a file of this name. */
  download?: string | undefined;
  rel?: string | undefined;
  children: ComponentChildren;
}

/** A link that looks like a button: it goes somewhere and changes nothing. */
export function ButtonLink({ kind = 'quiet', wide, children, ...rest }: ButtonLinkProps) {
  return (
    <a class={classes(kind, wide)} {...rest}>
      {children}
    </a>
  );
}

/** A row of buttons that wraps; gaps grow on control pages. */
export function ButtonRow({ children }: { children: ComponentChildren }) {
  return <div class="button-row">{children}</div>;
}
