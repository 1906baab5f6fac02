import type { Role } from '../server/accounts/roles.ts';
import { Section } from './components/content.tsx';
import { places as t } from './texts/en/places.ts';
import { urls } from './urls.ts';

/** The ways to what there is about controllers, for whoever looks. */
export function ControllerPlaces({ slug, role }: { slug: string; role: Role | null }) {
  const { controllers: words } = t;
  const holds = role === 'director' || role === 'driver';
  const items = [
    [urls.inClub(slug, 'library'), words.library],
    ...(holds ? [[urls.inClub(slug, 'units'), words.units] as const] : []),
    [urls.inClub(slug, 'workbench'), words.workbench],
    [urls.help('controllers'), words.help],
  ] as const;
  return (
    <Section title={words.title} id="controllers">
      <ul class="places">
        {items.map(([href, label]) => (
          <li key={href}>
            <a href={href}>{label}</a>
          </li>
        ))}
      </ul>
    </Section>
  );
}
