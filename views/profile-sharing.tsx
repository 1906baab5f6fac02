import type { Codes } from '../server/profiles/exchange/codes.ts';
import { Section } from './components/content.tsx';
import { ShortCode } from './short-code.tsx';
import { shares as t } from './texts/en/shares.ts';
import { urls } from './urls.ts';

interface SharingPartProps {
  slug: string;
  profileId: string;
  /** Of the latest version: `codesOf(profile.setup)`. */
  codes: Codes;
}

/** The part of a profile's page that hands it on: its code at once, everything else one step away. */
export function SharingPart({ slug, profileId, codes }: SharingPartProps) {
  return (
    <Section title={t.part.title} id="sharing">
      <ShortCode codes={codes} id="profile-code" />
      <ul class="places">
        <li>
          <a href={urls.profile(slug, profileId, 'share')}>{t.part.more}</a>
        </li>
        <li>
          <a href={urls.profile(slug, profileId, 'profile.json')} download>
            {t.part.download}
          </a>
        </li>
      </ul>
    </Section>
  );
}
