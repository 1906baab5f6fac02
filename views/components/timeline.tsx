import type { ComponentChildren } from 'preact';

export interface TimelineItem {
  key: string;
  /** Time of day or place in the order: "20:40", "Heat 7". */
  time: string;
  title: ComponentChildren;
  detail?: ComponentChildren;
  /** The shape on the line: a filled lozenge, an outlined one, a dash, a ring. */
  kind: 'drive' | 'marshal' | 'rest' | 'other';
  state: 'past' | 'now' | 'next' | 'later';
}

/** A night as a vertical line: what comes when. */
export function Timeline({ items, id }: { items: readonly TimelineItem[]; id?: string | undefined }) {
  return (
    <ol class="timeline" id={id}>
      {items.map(({ key, time, title, detail, kind, state }) => (
        <li
          key={key}
          id={id ? `${id}-${key}` : undefined}
          class={`moment moment-${kind} moment-${state}`}
          aria-current={state === 'now' ? 'step' : undefined}
        >
          <span class="moment-time figure">{time}</span>
          <span class="moment-words">
            <span class="moment-title">{title}</span>
            {detail ? <span class="moment-detail">{detail}</span> : null}
          </span>
        </li>
      ))}
    </ol>
  );
}
