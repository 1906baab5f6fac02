import { clubs } from '../texts/en/clubs.ts';
import { urls } from '../urls.ts';
import { Breadcrumbs, type Crumb } from './content.tsx';

/** The way back from a page about what stays from night to night: the club's page first. */
export function ClubCrumbs({ slug, items = [] }: { slug: string; items?: readonly Crumb[] }) {
  return <Breadcrumbs items={[{ href: urls.inClub(slug, 'club'), label: clubs.home.title }, ...items]} />;
}
