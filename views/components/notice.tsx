import type { ComponentChildren } from 'preact';
import { common } from '../texts/en/common.ts';

export type NoticeKind = 'info' | 'ok' | 'warning' | 'danger';

/** Told apart by outline alone: circle, tick, triangle, octagon. */
const shapes: Readonly<Record<NoticeKind, string>> = {
  info: 'M12 2a10 10 0 1 0 0 20a10 10 0 1 0 0-20zM11 10h2v8h-2zM11 6h2v2h-2z',
  ok: 'M9.5 20L2 12.5l2.8-2.8l4.7 4.7L19.2 4L22 6.8z',
  warning: 'M12 2L23 22H1zM11 9h2v7h-2zM11 17.5h2v2h-2z',
  danger: 'M7.9 2h8.2L22 7.9v8.2L16.1 22H7.9L2 16.1V7.9zM11 6h2v8h-2zM11 16h2v2h-2z',
};

interface NoticeProps {
  kind: NoticeKind;
  /** Default: the kind's own word, so that colour never speaks alone. */
  title?: string | undefined;
  id?: string | undefined;
  children?: ComponentChildren;
}

/** Something the reader should know: shape, word, then the sentence. */
export function Notice({ kind, title, id, children }: NoticeProps) {
  return (
    <div class={`notice notice-${kind}`} id={id}>
      <svg class="notice-shape" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
        <path fill-rule="evenodd" d={shapes[kind]} />
      </svg>
      <div class="notice-words">
        <strong>{title ?? common.notice[kind]}</strong>
        {children ? <div>{children}</div> : null}
      </div>
    </div>
  );
}
