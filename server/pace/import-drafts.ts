import type { FoundLaps } from './import-read.ts';

/** An import that was read and not saved yet. */
export interface ImportDraft {
  readonly clubId: string;
  readonly name: string;
  readonly found: FoundLaps;
}

/** How long somebody may look at what was found before saving it. */
const keptMs = 20 * 60_000;
/** A big one takes tens of megabytes. */
const mostDrafts = 4;

/** Imports that people look at, by a secret; in memory only, so that nothing is saved before they say so. */
export class ImportDrafts {
  readonly #drafts = new Map<string, { readonly draft: ImportDraft; readonly timer: ReturnType<typeof setTimeout> }>();

  put(secret: string, draft: ImportDraft): void {
    const timer = setTimeout(() => this.take(secret), keptMs);
    timer.unref?.();
    this.#drafts.set(secret, { draft, timer });
    const [oldest] = this.#drafts.keys();
    if (this.#drafts.size > mostDrafts && oldest !== undefined) this.take(oldest);
  }

  /** Null where it is gone, or another club's. */
  look(secret: string, clubId: string): ImportDraft | null {
    const draft = this.#drafts.get(secret)?.draft;
    return draft?.clubId === clubId ? draft : null;
  }

  take(secret: string): void {
    const kept = this.#drafts.get(secret);
    if (!kept) return;
    clearTimeout(kept.timer);
    this.#drafts.delete(secret);
  }
}
