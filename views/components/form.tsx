import type { ComponentChildren } from 'preact';
import type { PassedOn } from './types.ts';

/** Name of the hidden field with the session's token. */
export const csrfField = 'csrf';
/** Name of the hidden field with the command's id: a form that is sent twice acts once. */
export const commandField = 'command_id';

interface HiddenFieldsProps {
  /** Name and value of each field; `null` and `undefined` leave the field out. */
  values: Readonly<Record<string, string | number | null | undefined>>;
}

/** What a form carries without showing it. */
export function HiddenFields({ values }: HiddenFieldsProps) {
  return (
    <>
      {Object.entries(values).map(([name, value]) =>
        value === null || value === undefined ? null : <input key={name} type="hidden" name={name} value={value} />,
      )}
    </>
  );
}

interface FormProps extends PassedOn {
  action: string;
  /** Default `post`; `get` for searches, which carry no token. */
  method?: 'post' | 'get' | undefined;
  /**
   * The session's token. Left out only in live regions, which are the same for every screen: there the script adds the
   * token of the page as a header.
   */
  csrf?: string | null | undefined;
  /** A fresh UUID for every form that must not act twice. */
  commandId?: string | null | undefined;
  hidden?: HiddenFieldsProps['values'] | undefined;
  id?: string | undefined;
  class?: string | undefined;
  enctype?: 'multipart/form-data' | undefined;
  /** Leaves the checks to the server, whose sentences say more than the browser's. Default true. */
  novalidate?: boolean | undefined;
  children: ComponentChildren;
}

/** A form that posts, with its token and command id. */
export function Form({ method = 'post', csrf, commandId, hidden, novalidate = true, children, ...rest }: FormProps) {
  const carried = { [csrfField]: method === 'post' ? csrf : null, [commandField]: commandId, ...hidden };
  return (
    <form method={method} novalidate={novalidate} {...rest}>
      <HiddenFields values={carried} />
      {children}
    </form>
  );
}
