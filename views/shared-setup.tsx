import type { ComponentChildren } from 'preact';
import type { Codes } from '../server/profiles/exchange/codes.ts';
import type { Profile } from '../server/profiles/model/profile.ts';
import type { PicturesData } from '../server/profiles/pictures.ts';
import { Section } from './components/content.tsx';
import { ProfilePictures } from './profile-pictures.tsx';
import { SettingsTable } from './profile-settings.tsx';
import { ShortCode } from './short-code.tsx';
import { shares as t } from './texts/en/shares.ts';

interface SharedSetupProps {
  setup: Profile;
  pictures: PicturesData;
  codes: Codes;
  /** Address of the file. */
  file: string;
  /** More ways to take it along. */
  children?: ComponentChildren;
}

/** A shared profile: what it does, its settings, and the ways to take it along. */
export function SharedSetup({ setup, pictures, codes, file, children }: SharedSetupProps) {
  return (
    <>
      <Section title={t.shown.does} id="does">
        <ProfilePictures data={pictures} />
      </Section>
      <Section title={t.shown.settings} id="settings">
        <SettingsTable caption={t.shown.settings} setups={[{ title: setup.name, setup }]} />
        {setup.notes === undefined || setup.notes === '' ? null : (
          <p>
            {t.shown.notes}: <bdi>{setup.notes}</bdi>
          </p>
        )}
      </Section>
      <Section title={t.shown.take} id="take">
        {children}
        <ShortCode codes={codes} id="shared-code" />
        <p>
          <a href={file} download>
            {t.shown.file}
          </a>
        </p>
      </Section>
    </>
  );
}
