import type { Role } from '../server/accounts/roles.ts';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { Breadcrumbs, type Crumb } from './components/content.tsx';
import { drivers } from './texts/en/drivers.ts';
import { profiles as t } from './texts/en/profiles.ts';
import { urls } from './urls.ts';

interface OwnerCrumbsProps {
  slug: string;
  role: Role | null;
  driver: { id: string; nickname: string };
  /** Whether the way goes on to the list of profiles. */
  list?: boolean | undefined;
  /** What comes below the list. */
  more?: readonly Crumb[] | undefined;
}

/** The way back from a driver's profiles; a director comes from the list of drivers. */
export function OwnerCrumbs({ slug, role, driver, list = false, more = [] }: OwnerCrumbsProps) {
  const items = [
    { href: urls.driver(slug, driver.id), label: driver.nickname },
    ...(list ? [{ href: urls.driver(slug, driver.id, 'profiles'), label: t.title }] : []),
    ...more,
  ];
  if (role !== 'director') return <Breadcrumbs items={items} />;
  return <ClubCrumbs slug={slug} items={[{ href: urls.inClub(slug, 'drivers'), label: drivers.title }, ...items]} />;
}
