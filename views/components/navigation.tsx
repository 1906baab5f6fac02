import { common } from '../texts/en/common.ts';

export type Role = 'spectator' | 'driver' | 'timekeeper' | 'director' | 'owner';

export interface NavigationItem {
  href: string;
  label: string;
}

const { navigation } = common;

const places = {
  night: { href: '/', label: navigation.night },
  myNight: { href: '/me', label: navigation.myNight },
  control: { href: '/control', label: navigation.control },
  results: { href: '/results', label: navigation.results },
  seasons: { href: '/seasons', label: navigation.seasons },
  profiles: { href: '/profiles', label: navigation.profiles },
  club: { href: '/club', label: navigation.club },
} as const satisfies Record<string, NavigationItem>;

/** The few places that somebody of this role goes to. */
export function navigationFor(role: Role): readonly NavigationItem[] {
  switch (role) {
    case 'spectator':
      return [places.night, places.results, places.seasons];
    case 'driver':
      return [places.night, places.myNight, places.profiles, places.results];
    case 'timekeeper':
      return [places.night, places.control, places.results];
    case 'director':
    case 'owner':
      return [places.night, places.control, places.results, places.seasons, places.club];
  }
}

interface NavigationProps {
  items: readonly NavigationItem[];
  /** The page's own path, marked as current. */
  path: string;
}

/** The main navigation: plain links, the current one underlined and announced. */
export function Navigation({ items, path }: NavigationProps) {
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
