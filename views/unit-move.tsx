import type { ComponentChildren } from 'preact';
import type { Conversion } from '../server/profiles/convert/convert.ts';
import type { ReportRow } from '../server/profiles/convert/report.ts';
import type { Profile } from '../server/profiles/model/profile.ts';
import type { KeptProfile } from '../server/profiles/store.ts';
import type { FormState } from '../server/shared/form.ts';
import type { NamedUnit } from '../server/units/store.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { Checkbox, Choice } from './components/choice.tsx';
import { EmptyState, Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Field, SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { Notice } from './components/notice.tsx';
import { FeltWords } from './felt-words.tsx';
import { unbroken } from './format.ts';
import type { Shell } from './layout.tsx';
import { ProfileSubpage } from './profile-subpage.tsx';
import { convert } from './texts/en/convert.ts';
import { unitMove as t } from './texts/en/unit-move.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

/** A profile as a unit would have it. `shown` names this result, so that nothing else is kept than what was looked at. */
export type MovedProfile = Conversion<Profile> & { readonly shown: string };

interface UnitMovePageProps {
  shell: Shell;
  slug: string;
  profile: KeptProfile;
  /** Units to choose from. */
  units: readonly NamedUnit[];
  /** Null: none chosen yet. */
  unit: NamedUnit | null;
  /** Null where nobody typed in what the unit can do. */
  moved: MovedProfile | null;
  /** What the change feels like. */
  words: readonly string[];
  picture: ComponentChildren;
  form: FormState;
}

/** What a profile becomes on a controller unit, setting by setting, before anything is kept. */
export function UnitMovePage(props: UnitMovePageProps) {
  const { shell, slug, profile, units, unit, moved, form } = props;
  const title = t.title(profile.setup.name);
  return (
    <ProfileSubpage shell={shell} slug={slug} profile={profile} title={title} errors={form.errors}>
      <p>{t.intro}</p>
      {units.length === 0 ? (
        <EmptyState title={t.none} action={<ButtonLink href={urls.inClub(slug, 'units')}>{t.add}</ButtonLink>}>
          {t.noneIntro}
        </EmptyState>
      ) : (
        <UnitChoice {...props} />
      )}
      {unit && !moved ? (
        <Notice kind="warning">
          {t.missingSheet(unit.name)} <a href={urls.unit(slug, unit.id)}>{t.toUnit}</a>
        </Notice>
      ) : null}
      {moved ? <Moved {...props} moved={moved} /> : null}
    </ProfileSubpage>
  );
}

function UnitChoice({ slug, profile, units, unit }: UnitMovePageProps) {
  const holderOf = ({ driverNickname, trackName, lane }: NamedUnit) =>
    driverNickname ?? (trackName !== null && lane !== null ? t.lane(trackName, lane) : t.club);
  const labelOf = (one: NamedUnit) => {
    const label = t.of(one.name, holderOf(one));
    return one.sheet === null ? t.noSheet(label) : label;
  };
  return (
    <Form action={urls.profile(slug, profile.id, 'move')} method="get">
      <SelectField
        label={t.unit}
        name="unit"
        value={unit?.id}
        blank={t.choose}
        options={units.map((one) => ({ value: one.id, label: labelOf(one) }))}
      />
      <ButtonRow>
        <Button kind={unit ? undefined : 'primary'}>{t.show}</Button>
      </ButtonRow>
    </Form>
  );
}

function Moved({ moved, words, picture, ...rest }: UnitMovePageProps & { moved: MovedProfile }) {
  const isSafety = ({ severity }: ReportRow) => severity === 'safety';
  const changed = moved.report
    .filter(({ what }) => what !== 'exact')
    .sort((a, b) => Number(isSafety(b)) - Number(isSafety(a)));
  const unchanged = moved.report.filter(({ what }) => what === 'exact');
  const folded = changed.some(({ what }) => what === 'folded');
  return (
    <>
      {changed.filter(isSafety).map(({ field, from, to }) => (
        <Notice kind="danger" title={t.safetyTitle} key={field}>
          {unbroken(convert.safety(Number(to), Number(from)))}
        </Notice>
      ))}
      <Section title={t.report} id="report">
        {changed.length === 0 ? <p>{t.same}</p> : <ReportTable rows={changed} />}
        <Notes rows={changed} />
        <details id="unchanged">
          <summary>{t.unchanged(unchanged.length)}</summary>
          <ReportTable rows={unchanged} />
        </details>
        {moved.table ? (
          <details id="unit-table">
            <summary>{t.table}</summary>
            <p>{t.tableIntro(folded)}</p>
            <p class="figure">{moved.table.join(', ')}</p>
          </details>
        ) : null}
      </Section>
      {changed.length === 0 ? null : (
        <>
          <Section title={t.felt} id="felt">
            <FeltWords words={words} />
          </Section>
          {picture}
          <KeepForm {...rest} moved={moved} />
        </>
      )}
    </>
  );
}

function ReportTable({ rows }: { rows: readonly ReportRow[] }) {
  const { row: words } = convert;
  return (
    <DataTable
      caption={t.report}
      captionHidden
      rows={rows}
      rowKey={({ field }) => field}
      columns={[
        {
          key: 'setting',
          head: t.columns.setting,
          rowHead: true,
          cell: ({ field, what }) => (
            <>
              {words.field(field)}
              <span class="cell-more">{words.outcome(what)}</span>
            </>
          ),
        },
        { key: 'was', head: t.columns.was, cell: ({ field, from }) => unbroken(words.value(field, from)) },
        { key: 'becomes', head: t.columns.becomes, cell: ({ field, to }) => unbroken(words.value(field, to)) },
        {
          key: 'felt',
          head: t.columns.felt,
          cell: ({ severity, size }) => (
            <>
              {severity === 'safety' ? <strong>{words.severity(severity)}</strong> : words.severity(severity)}
              {size ? <span class="cell-more">{words.size(size)}</span> : null}
            </>
          ),
        },
      ]}
    />
  );
}

/** What numbers in a table do not say. */
function Notes({ rows }: { rows: readonly ReportRow[] }) {
  const sentences = rows.flatMap(({ curveError, brakeEffects = [] }) => [
    ...(curveError ? [convert.curveError(curveError)] : []),
    ...brakeEffects.map(convert.brakeEffect),
  ]);
  return (
    <>
      {sentences.map((sentence) => (
        <p key={sentence}>{unbroken(sentence)}</p>
      ))}
      {rows.length > 0 ? <p class="field-hint">{t.feltHint}</p> : null}
    </>
  );
}

interface KeepFormProps extends Omit<UnitMovePageProps, 'moved' | 'words' | 'picture'> {
  moved: MovedProfile;
}

function KeepForm({ shell, slug, profile, unit, moved, form }: KeepFormProps) {
  const field = typedIn(form);
  return (
    <Section title={t.keep} id="keep-it">
      <Form
        action={urls.profile(slug, profile.id, 'move')}
        csrf={shell.csrf}
        commandId={shell.commandId}
        hidden={{ unit: unit?.id, shown: moved.shown }}
      >
        <Choice
          legend={t.keepAs}
          {...field('keep', 'new')}
          stacked
          options={[
            { value: 'new', label: t.asNew, hint: t.asNewHint },
            { value: 'version', label: t.asVersion(profile.latest + 1), hint: t.asVersionHint },
          ]}
        />
        <Field label={t.name} hint={t.nameHint} {...field('name')} maxlength={40} />
        {moved.needsConfirmation ? (
          <Checkbox
            label={t.confirm}
            name="confirmed"
            checked={form.typed.confirmed !== undefined}
            error={form.errors.confirmed}
          />
        ) : null}
        <ButtonRow>
          <Button kind={moved.needsConfirmation ? 'danger' : 'primary'}>{t.save}</Button>
        </ButtonRow>
      </Form>
    </Section>
  );
}
