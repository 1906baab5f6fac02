import type { ComponentChildren } from 'preact';

interface BadgeProps {
  /** `plain` (default) is outlined; `strong` is filled: at most one to a row. */
  kind?: 'plain' | 'strong' | undefined;
  children: ComponentChildren;
}

/** One or two words that qualify what stands beside them: "provisional", "sits out". */
export function Badge({ kind = 'plain', children }: BadgeProps) {
  return <span class={`badge badge-${kind}`}>{children}</span>;
}
