import type { Role } from '../server/accounts/roles.ts';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { Breadcrumbs } from './components/content.tsx';
import { units as t } from './texts/en/units.ts';
import { urls } from './urls.ts';

interface UnitCrumbsProps {
  slug: string;
  role: Role | null;
  /** Left out on pages that belong to no unit. */
  unit?: { id: string; name: string } | undefined;
}

/** The way back from a page about a unit: to it and to the list; a director comes from the club's page. */
export function UnitCrumbs({ slug, role, unit }: UnitCrumbsProps) {
  const items = [
    { href: urls.inClub(slug, 'units'), label: t.title },
    ...(unit ? [{ href: urls.unit(slug, unit.id), label: unit.name }] : []),
  ];
  return role === 'director' ? <ClubCrumbs slug={slug} items={items} /> : <Breadcrumbs items={items} />;
}
