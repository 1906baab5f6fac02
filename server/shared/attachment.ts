import { slugOf } from './slug.ts';

/**
 * The `content-disposition` header of a download (RFC 6266): a plain name for every client and the name itself, in
 * UTF-8, for those that read it.
 *
 * @param names what the file is about, joined by hyphens; may hold any character
 * @param extension without its point
 */
export function attachment(names: readonly string[], extension: string): string {
  const plain = names.map((name) => slugOf(name, '')).filter(Boolean);
  const fallback = `${plain.join('-') || 'lanewise'}.${extension}`;
  const full = `${names.map(fileName).filter(Boolean).join(' ') || 'lanewise'}.${extension}`;
  return `attachment; filename="${fallback}"; filename*=UTF-8''${encoded(full)}`;
}

/** A text without what cannot stand in the name of a file on some system. */
function fileName(text: string): string {
  return text
    .replace(/[\p{Cc}\p{Cf}\p{Cs}\p{Zl}\p{Zp}/\\:*?"<>|]+/gu, ' ')
    .replace(/\s+/gu, ' ')
    .trim()
    .replace(/^\.+/, '')
    .slice(0, 80)
    .replace(/\p{Cs}/gu, '');
}

/** RFC 8187 leaves fewer characters as they are than `encodeURIComponent` does. */
function encoded(text: string): string {
  return encodeURIComponent(text).replace(/['()*]/g, (c) => `%${c.charCodeAt(0).toString(16).toUpperCase()}`);
}
