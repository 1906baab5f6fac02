import type { Role } from '../server/accounts/roles.ts';
import type { NavigationItem } from './components/navigation.tsx';
import { places as words } from './texts/en/places.ts';
import { urls } from './urls.ts';

/** The few places that somebody of this role goes to; `null` is somebody who only watches. */
export function placesFor(slug: string, role: Role | null): NavigationItem[] {
  const tonight = { href: urls.club(slug), label: words.tonight };
  const results = { href: urls.inClub(slug, 'results'), label: words.results };
  const at = (path: string, label: string) => ({ href: urls.inClub(slug, path), label });
  switch (role) {
    case 'director':
      return [
        tonight,
        at('control', words.control),
        at('timekeeper', words.timekeeper),
        results,
        at('club', words.club),
      ];
    case 'timekeeper':
      return [tonight, at('timekeeper', words.timekeeper), at('control', words.control), results];
    case 'driver':
      return [tonight, at('me', words.myNight), at('profiles', words.myProfiles), results];
    case null:
      return [tonight, results];
  }
}
