import type { PicturesData } from '../server/profiles/pictures.ts';
import { BrakePicture } from './profile-brake.tsx';
import { ProfileEditor, type ProfileEditorProps } from './profile-editor.tsx';
import { MiniPictures } from './profile-mini.tsx';
import { MorePictures } from './profile-pictures.tsx';
import { type PictureNames, ThrottlePicture } from './profile-throttle.tsx';
import { TraceChoice } from './profile-trace-choice.tsx';
import { profilePictures as words } from './texts/en/profile-pictures.ts';

interface ProfileDeskProps extends Omit<ProfileEditorProps, 'idle' | 'changes'> {
  /** The pictures to begin with: of what was saved. */
  data: PicturesData;
  /** What differs from the saved version, where the pictures show what is not saved yet. */
  comparison?: readonly string[] | undefined;
}

/** What the lines of the pictures are called while somebody edits. */
export function deskNames(saved: { version: number } | null): PictureNames {
  return { own: words.own, other: saved ? words.version(saved.version) : '' };
}

/**
 * Pictures and settings side by side: what is typed or dragged is drawn at once, over what was saved. A page that shows
 * it names the script `profile.js`.
 */
export function ProfileDesk({ data, comparison = [], ...editor }: ProfileDeskProps) {
  const names = deskNames(editor.saved);
  return (
    <div class="profile-desk">
      <div class="profile-desk-curve">
        <ThrottlePicture data={data} names={names} limitPermille={editor.limitPermille} handles />
        <PreviewWords comparison={comparison} problem={false} sentences={[]} />
      </div>
      <div class="profile-desk-settings">
        <MiniPictures data={data} />
        <ProfileEditor {...editor} idle={data.idle} changes={comparison} />
      </div>
      <div class="profile-desk-brake">
        <BrakePicture data={data} names={names} />
      </div>
      <div class="profile-desk-more">
        <MorePictures data={data} names={names}>
          <TraceChoice form={editor.form} formId="profile-form" />
        </MorePictures>
      </div>
      <div
        id="profile-preview"
        hx-post={editor.preview}
        hx-trigger="preview"
        hx-include="#profile-form, [form=profile-form]"
        hx-sync="this:queue last"
        hx-swap="none"
        hidden
      />
    </div>
  );
}

interface PreviewWordsProps {
  /** What differs from the saved version, a sentence each, the largest first. */
  comparison: readonly string[];
  /** Whether something typed is not right, so that pictures stay as they were. */
  problem: boolean;
  /** What is wrong where no field has a place for it. */
  sentences: readonly string[];
  /** Whether a script is there that moves handles. */
  live?: boolean | undefined;
}

/** So many sentences have their place under the curve: more would push away what somebody holds. */
const wordsInFront = 2;

/** What is said under the curve while somebody edits: how to, then what was changed most. */
export function PreviewWords({ comparison, problem, sentences, live = false }: PreviewWordsProps) {
  return (
    <div class="profile-desk-words" id="profile-words" data-digest>
      {problem ? <p class="field-error">{[...sentences, words.waiting].join(' ')}</p> : null}
      {comparison.slice(0, wordsInFront).map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      {problem || comparison.length > 0 ? null : (
        <p class="plot-hint" data-handles-hint hidden={!live}>
          {words.handles.hint}
        </p>
      )}
    </div>
  );
}
