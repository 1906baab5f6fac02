import type { ComponentChildren } from 'preact';
import type { KeptProfile } from '../server/profiles/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { FormErrors } from './components/form-errors.tsx';
import { Page, type Shell } from './layout.tsx';
import { OwnerCrumbs } from './profile-crumbs.tsx';
import { urls } from './urls.ts';

interface ProfileSubpageProps {
  shell: Shell;
  slug: string;
  profile: Pick<KeptProfile, 'id' | 'driverId' | 'driverNickname' | 'setup'>;
  /** Title and heading; may hold names. */
  title: string;
  /** What is wrong with the page's form, where it has one. */
  errors?: FormState['errors'] | undefined;
  status?: string | undefined;
  children: ComponentChildren;
}

/** A page below one profile: the way back to it, to the list and to the driver, a heading, and what is wrong. */
export function ProfileSubpage({ shell, slug, profile, title, errors = {}, status, children }: ProfileSubpageProps) {
  const driver = { id: profile.driverId, nickname: profile.driverNickname };
  const more = [{ href: urls.profile(slug, profile.id), label: profile.setup.name }];
  return (
    <Page
      shell={shell}
      title={title}
      heading={<bdi>{title}</bdi>}
      above={<OwnerCrumbs slug={slug} role={shell.role} driver={driver} list more={more} />}
      status={status}
    >
      <FormErrors errors={errors} />
      {children}
    </Page>
  );
}
