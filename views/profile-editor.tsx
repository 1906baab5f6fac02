import type { ComponentChildren } from 'preact';
import type { IdleSettings } from '../server/profiles/editor-form.ts';
import type { FormState } from '../server/shared/form.ts';
import { Button, ButtonRow } from './components/button.tsx';
import { Checkbox, Choice } from './components/choice.tsx';
import { Field, TextareaField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { CurvePoints } from './profile-points.tsx';
import { Setting, type SettingRange } from './profile-setting.tsx';
import { profileEditor as t } from './texts/en/profile-editor.ts';
import { typedIn } from './typed.ts';
import { idField } from './urls.ts';

export interface ProfileEditorProps {
  form: FormState;
  action: string;
  csrf: string | null;
  commandId?: string | null | undefined;
  /** Address that shows what is typed without saving it: `urls.inClub(slug, 'profiles/preview')`. */
  preview: string;
  /** The version that stands in the database, to compare with and to go back to; null for a new profile. */
  saved: { profileId: string; version: number; form: FormState } | null;
  idle: IdleSettings;
  /** The strictest limit that a race to come sets for this driver; null for none. */
  limitPermille: number | null;
  /** What differs from the saved version. */
  changes?: readonly string[] | undefined;
  saveLabel?: string | undefined;
  /** More fields, before the button: what was changed and why. */
  children?: ComponentChildren;
}

/** Fields with a place of their own for a sentence that a live preview sends. */
export const liveErrors: readonly string[] = [
  ...['minDrive', 'maxDrive', 'shape', 'rampUpMs', 'brakeFull', 'dragStrength', 'pwmHz', 'releaseBand'],
  ...['zoneFrom', 'zoneTo', 'traceTyped'],
  ...[1, 2, 3, 4, 5, 6, 7].flatMap((number) => [`point${number}x`, `point${number}y`]),
];

const percent = (min: number, max: number, step = 0.5): SettingRange => ({ min, max, step, unit: 'percent' });

/** As typed: permille of the model are percent here. */
const ranges = {
  minDrive: percent(0, 60),
  maxDrive: percent(10, 100),
  shape: { min: -100, max: 100, step: 1, unit: 'none' },
  rampUpMs: { min: 0, max: 500, step: 5, unit: 'ms' },
  brakeFull: percent(0, 100),
  dragStrength: percent(0, 100),
  pwmHz: { min: 200, max: 5000, step: 5, unit: 'hz', scale: 'log' },
  releaseBand: percent(0, 15),
  zoneFrom: percent(0, 100),
  zoneTo: percent(0, 100),
} as const satisfies Record<string, SettingRange>;

/** The settings of a profile: seven in front, the others folded. */
export function ProfileEditor(props: ProfileEditorProps) {
  const {
    form,
    action,
    csrf,
    commandId,
    saved,
    idle,
    limitPermille,
    saveLabel = t.save,
    changes = [],
    children,
  } = props;
  const typed = typedIn(form);
  const savedValue = (name: string) => {
    if (saved === null) return null;
    const value = saved.form.typed[name];
    return typeof value === 'string' ? value : '';
  };
  const setting = (name: keyof typeof ranges) => ({
    ...typed(name),
    ...t[name],
    range: ranges[name],
    saved: savedValue(name),
  });
  const wrong = (...names: string[]) =>
    Object.keys(form.errors).some((field) => names.some((n) => field.startsWith(n)));
  const hidden = {
    profile: saved && idField(saved.profileId),
    version: saved?.version,
    limit: limitPermille,
    settled: '',
  };
  return (
    <Form id="profile-form" class="profile-form" action={action} csrf={csrf} commandId={commandId} hidden={hidden}>
      <Field
        label={t.name}
        {...typed('name')}
        hint={t.nameHint}
        maxlength={40}
        required
        data-saved={savedValue('name') ?? undefined}
      />
      {limitPermille === null ? null : <Notice kind="info">{t.limit(String(limitPermille / 10))}</Notice>}
      <div class="settings">
        <Setting {...setting('minDrive')} />
        <Setting {...setting('maxDrive')} />
        <Setting {...setting('shape')}>
          <ShapeNote idle={idle} />
        </Setting>
        <Setting {...setting('rampUpMs')} />
        <Setting {...setting('brakeFull')} />
        <Setting {...setting('dragStrength')}>
          <DragNote idle={idle} form={form} />
        </Setting>
        <Setting {...setting('pwmHz')} />
      </div>
      <details id="settings-more" open={wrong('releaseBand', 'zone', 'closingOnly', 'decay', 'rectify')}>
        <summary>{t.more}</summary>
        <div class="settings">
          <Setting {...setting('releaseBand')} />
          <Setting {...setting('zoneFrom')} />
          <Setting {...setting('zoneTo')} />
          <Checkbox name="closingOnly" {...t.closingOnly} checked={typed('closingOnly').value !== ''} />
          <Choice
            legend={t.rectify.label}
            hint={t.rectify.hint}
            {...typed('rectify', 'async')}
            options={[
              { value: 'async', ...t.rectify.async },
              { value: 'sync', ...t.rectify.sync },
            ]}
          />
          <Choice
            legend={t.decay.label}
            hint={t.decay.hint}
            {...typed('decay', 'slow')}
            options={[
              { value: 'slow', ...t.decay.slow },
              { value: 'fast', ...t.decay.fast },
            ]}
          />
        </div>
      </details>
      <details id="settings-points" open={typed('curveKind').value === 'points' || wrong('curveKind', 'point')}>
        <summary>{t.byPoints}</summary>
        <CurvePoints form={form} savedValue={savedValue} />
      </details>
      <details id="settings-notes" open={wrong('notes')}>
        <summary>{t.notes}</summary>
        <TextareaField label={t.notes} {...typed('notes')} hint={t.notesHint} maxlength={280} rows={3} optional />
      </details>
      <Changes version={saved?.version ?? null} changes={changes} />
      {children}
      <ButtonRow>
        <Button kind="primary">{saveLabel}</Button>
        <Button type="reset">{saved === null ? t.undoNew : t.undo}</Button>
        {saved === null ? null : (
          <noscript>
            <Button formaction={props.preview}>{t.lookFirst}</Button>
          </noscript>
        )}
      </ButtonRow>
    </Form>
  );
}

/** Says that points give the curve, where they do; otherwise an empty place for it. */
export function ShapeNote({ idle }: { idle: IdleSettings }) {
  return (
    <p class="setting-note" id="note-shape">
      {idle.shape ? t.shape.idle : null}
    </p>
  );
}

const dragWords = { sync: t.dragStrength.idle, off: t.dragStrength.off, covered: t.dragStrength.covered } as const;

/** Where the drag brake acts, or why it does not. */
export function DragNote({ idle, form }: { idle: IdleSettings; form: FormState }) {
  const value = (name: string) => typedIn(form)(name).value;
  return (
    <p class={idle.drag === null ? 'setting-note setting-plain' : 'setting-note'} id="note-drag">
      {idle.drag === null
        ? t.dragStrength.zone(value('zoneFrom'), value('zoneTo'), value('closingOnly') !== '')
        : dragWords[idle.drag]}
    </p>
  );
}

/** What saving would change, before the button that saves. */
export function Changes({ version, changes }: { version: number | null; changes: readonly string[] }) {
  return (
    <div class="changes" id="profile-changes">
      {version === null || changes.length === 0 ? null : (
        <>
          <h3>{t.changes(version)}</h3>
          <ul>
            {changes.map((sentence) => (
              <li key={sentence}>{sentence}</li>
            ))}
          </ul>
        </>
      )}
    </div>
  );
}
