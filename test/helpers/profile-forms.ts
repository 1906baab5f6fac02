import { editorForm } from '../../server/profiles/editor-form.ts';
import { defaultTuning, type Profile } from '../../server/profiles/model/profile.ts';

/** A profile with usual settings but for those given. */
export function profileWith(set: Partial<Profile> = {}): Profile {
  return { name: 'Evening', ...defaultTuning, ...set };
}

/** The fields that the editor's form sends for a profile. */
export function editorFields(profile: Profile): Record<string, string> {
  return { ...(editorForm(profile).typed as Record<string, string>) };
}
