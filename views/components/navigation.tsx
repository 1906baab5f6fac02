import { common } from '../texts/en/common.ts';

export interface NavigationItem {
  href: string;
  label: string;
}

interface NavigationProps {
  items: readonly NavigationItem[];
  /** The page's own path, marked as current. */
  path: string;
}

/** The main navigation: plain links, the current one underlined and announced. */
export function Navigation({ items, path }: NavigationProps) {
  if (items.length === 0) return null;
  return (
    <nav class="site-nav" aria-label={common.mainNavigation}>
      <ul>
        {items.map(({ href, label }) => (
          <li key={href}>
            <a href={href} aria-current={href === path ? 'page' : undefined}>
              {label}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  );
}
