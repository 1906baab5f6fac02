import { common } from '../texts/en/common.ts';

export interface NavigationItem {
  href: string;
  label: string;
}

interface NavigationProps {
  items: readonly NavigationItem[];
  /** The page's own path; where it leads, or what it is part of, is marked as current. */
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
            <a href={href} aria-current={href === path ? 'page' : isPartOf(path, href) ? 'true' : undefined}>
              {label}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  );
}

/** `/c/owls/control` leads to `/c/owls/meetings/…/control`; settings of the club are part of `/c/owls/club`. */
function isPartOf(path: string, href: string): boolean {
  const [name] = href.split('/').slice(3);
  return name !== undefined && path.split('/').slice(3).includes(name);
}
