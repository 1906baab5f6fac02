/** A name as a part of an address: letters, figures and hyphens, at most 40 of them. */
export function slugOf(name: string, fallback: string): string {
  const slug = name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, 40)
    .replace(/^-+|-+$/g, '');
  return slug === '' ? fallback : slug;
}
