import type { Proposal } from '../server/profiles/advice/proposal.ts';
import type { AdviceRow, sections } from '../server/profiles/advice/rows.ts';
import type { PicturesData } from '../server/profiles/pictures.ts';
import type { KeptProfile } from '../server/profiles/store.ts';
import type { FormState } from '../server/shared/form.ts';
import { AdviceChoice, AdviceHints, CarFirst, HowToTry } from './advice-parts.tsx';
import { Button, ButtonRow } from './components/button.tsx';
import { Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Form } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { FeltWords } from './felt-words.tsx';
import type { Shell } from './layout.tsx';
import { changesOf, changeWords } from './profile-changes.ts';
import { NoteField } from './profile-note.tsx';
import { ProfilePictures } from './profile-pictures.tsx';
import { ProfileSubpage } from './profile-subpage.tsx';
import { advice as t } from './texts/en/advice.ts';
import { urls } from './urls.ts';

/** A proposed change with what it does. */
export type TriedChange = Proposal & {
  /** What will be felt, in sentences. */
  words: readonly string[];
  pictures: PicturesData;
  /** Whether a word of care about heat belongs beside it. */
  hot: boolean;
};

interface AdvicePageProps {
  shell: Shell;
  slug: string;
  profile: KeptProfile;
  limitPermille: number | null;
  sections: typeof sections;
  /** What was chosen; null before that. */
  row: AdviceRow | null;
  /** Null where nothing is proposed. */
  tried: TriedChange | null;
  others: readonly Proposal[];
  form: FormState;
}

/** "What is wrong?": a complaint is chosen, one change is proposed, and nothing is saved until somebody says so. */
export function AdvicePage(props: AdvicePageProps) {
  const { shell, slug, profile, sections, row, form } = props;
  const title = t.titleOf(profile.setup.name);
  return (
    <ProfileSubpage shell={shell} slug={slug} profile={profile} title={title} errors={form.errors}>
      <p>
        {t.intro} {t.practice}
      </p>
      <AdviceChoice action={urls.profile(slug, profile.id, 'advice')} sections={sections} row={row} />
      <CarFirst />
      {row === null ? null : <Answer {...props} row={row} />}
      <HowToTry />
    </ProfileSubpage>
  );
}

function Answer(props: AdvicePageProps & { row: AdviceRow }) {
  const { slug, profile, row, tried, others } = props;
  const { says, ...rest } = t.rows[row];
  const elsewhere = 'elsewhere' in rest ? rest.elsewhere : null;
  return (
    <Section title={says} id="answer">
      {elsewhere === null ? null : <Notice kind="info">{elsewhere}</Notice>}
      {tried === null ? <NothingProposed says={elsewhere === null ? t.noneText : t.noneElsewhere} /> : null}
      {tried === null ? null : <Change {...props} tried={tried} />}
      <AdviceHints row={row} proposes={tried !== null} />
      {others.length === 0 ? null : (
        <>
          <h3>{t.others}</h3>
          <ul>
            {others.map(({ profile: other, change }) => (
              <li key={change.setting}>
                <a href={urls.profile(slug, profile.id, `advice?row=${row}&change=${change.setting}#answer`)}>
                  {changeWords(profile.setup, other)}
                </a>
              </li>
            ))}
          </ul>
        </>
      )}
    </Section>
  );
}

const NothingProposed = ({ says }: { says: string }) => (
  <p>
    <strong>{t.none}.</strong> {says}
  </p>
);

/** The proposed change: what it is, what it does, and the button. */
function Change({ shell, slug, profile, limitPermille, row, tried, form }: AdvicePageProps & { tried: TriedChange }) {
  return (
    <>
      <h3>{t.change}</h3>
      <DataTable
        caption={t.change}
        captionHidden
        rows={changesOf(profile.setup, tried.profile)}
        rowKey={({ key }) => key}
        columns={[
          { key: 'setting', head: t.setting, rowHead: true, cell: ({ label }) => label },
          { key: 'now', head: t.now, cell: ({ from }) => from },
          { key: 'then', head: t.then, cell: ({ to }) => <strong>{to}</strong> },
        ]}
      />
      <h3>{t.feel}</h3>
      <FeltWords words={tried.words} />
      {tried.hot ? <Notice kind="warning">{t.hot}</Notice> : null}
      <ProfilePictures
        data={tried.pictures}
        names={{ own: t.tried, other: t.nowVersion(profile.latest) }}
        limitPermille={limitPermille}
      />
      <Form
        action={urls.profile(slug, profile.id, 'advice')}
        csrf={shell.csrf}
        commandId={shell.commandId}
        hidden={{ row, change: tried.change.setting, version: profile.latest }}
      >
        <NoteField form={form} />
        <ButtonRow>
          <Button kind="primary">{t.save}</Button>
        </ButtonRow>
        <p class="field-hint">{t.undo}</p>
      </Form>
    </>
  );
}
