import type { ComponentChildren } from 'preact';
import type { PicturesData } from '../server/profiles/pictures.ts';
import type { FormState } from '../server/shared/form.ts';
import { FormErrors } from './components/form-errors.tsx';
import { Page, type Shell } from './layout.tsx';
import { BrakePicture } from './profile-brake.tsx';
import { deskNames, PreviewWords, ProfileDesk } from './profile-desk.tsx';
import { Changes, DragNote, liveErrors, type ProfileEditorProps, ShapeNote } from './profile-editor.tsx';
import { MiniPictures } from './profile-mini.tsx';
import { MotorPart, type MotorPartProps } from './profile-motor.tsx';
import { NoteField } from './profile-note.tsx';
import { MorePlots } from './profile-pictures.tsx';
import { LiveError } from './profile-setting.tsx';
import { ThrottleDrawing, ThrottleTable } from './profile-throttle.tsx';
import { TracePicture } from './profile-time.tsx';
import { profileEditor as t } from './texts/en/profile-editor.ts';
import { urls } from './urls.ts';

interface PreviewProps {
  form: FormState;
  /** Null where something typed is not right: pictures stay as they are. */
  data: PicturesData | null;
  /** What differs from the saved version. */
  words: readonly string[];
  limitPermille: number | null;
  saved: ProfileEditorProps['saved'];
}

interface PreviewPartsProps extends PreviewProps {
  /** What a motor makes of it; null while that can wait. */
  motor: MotorPartProps | null;
  /** Whether a movement has come to its end; before, only what is in sight while somebody drags is sent. */
  settled: boolean;
}

/** The pieces of a desk that change while somebody types or drags; nothing of them can hold the focus. */
export function PreviewParts({ form, data, words, limitPermille, saved, motor, settled }: PreviewPartsProps) {
  const names = deskNames(saved);
  const elsewhere = Object.entries(form.errors).filter(([name]) => !liveErrors.includes(name));
  return (
    <>
      {liveErrors.map((name) => (
        <Part key={name} to={`${name}-live`}>
          <LiveError name={name} error={form.errors[name] ?? null} />
        </Part>
      ))}
      <Part to="profile-words">
        <PreviewWords
          live
          comparison={words}
          problem={data === null}
          sentences={elsewhere.map(([, sentence]) => sentence)}
        />
      </Part>
      {data === null ? null : (
        <>
          <Part to="throttle-lines">
            <ThrottleDrawing data={data} names={names} limitPermille={limitPermille} />
          </Part>
          <Part to="mini-pictures">
            <MiniPictures data={data} />
          </Part>
          <Part to="profile-changes">
            <Changes version={saved?.version ?? null} changes={words} />
          </Part>
          <Part to="brake-figure">
            <BrakePicture data={data} names={names} />
          </Part>
          <Part to="note-shape">
            <ShapeNote idle={data.idle} />
          </Part>
          <Part to="note-drag">
            <DragNote idle={data.idle} form={form} />
          </Part>
        </>
      )}
      {data === null || !settled ? null : (
        <>
          <Part to="throttle-rows">
            <ThrottleTable data={data} names={names} />
          </Part>
          <Part to="more-plots">
            <MorePlots data={data} names={names} />
          </Part>
          <Part to="trace-figure">
            <TracePicture data={data} names={names} />
          </Part>
        </>
      )}
      {motor === null ? null : (
        <Part to="motor">
          <MotorPart {...motor} />
        </Part>
      )}
    </>
  );
}

/** What goes into the place of the element of this id. */
function Part({ to, children }: { to: string; children: ComponentChildren }) {
  return (
    <hx-partial hx-target={`#${to}`} hx-swap="outerMorph">
      {children}
    </hx-partial>
  );
}

interface PreviewPageProps extends PreviewProps {
  shell: Shell;
  slug: string;
  data: PicturesData;
  saved: NonNullable<ProfileEditorProps['saved']>;
}

/** Without scripts: what is typed and what it does, as a page from which it can be saved. */
export function PreviewPage({ shell, slug, form, data, words, limitPermille, saved }: PreviewPageProps) {
  const address = urls.profile(slug, saved.profileId);
  return (
    <Page
      shell={shell}
      title={t.preview}
      heading={t.preview}
      kind="wide"
      above={<a href={address}>{t.previewBack}</a>}
      scripts={['profile.js']}
    >
      <FormErrors errors={form.errors} />
      <p>{t.previewIntro}</p>
      <ProfileDesk
        form={form}
        action={address}
        csrf={shell.csrf}
        preview={urls.inClub(slug, 'profiles/preview')}
        saved={saved}
        limitPermille={limitPermille}
        data={data}
        comparison={words}
      >
        <NoteField form={form} />
      </ProfileDesk>
    </Page>
  );
}
