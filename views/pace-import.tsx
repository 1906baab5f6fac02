import type { KnownNames } from '../server/pace/import-actions.ts';
import type { ImportDraft } from '../server/pace/import-drafts.ts';
import type { ImportProblem } from '../server/pace/import-read.ts';
import type { FormState } from '../server/shared/form.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { DefinitionList, Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Field } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { FormErrors } from './components/form-errors.tsx';
import { Notice } from './components/notice.tsx';
import { Page, type Shell } from './layout.tsx';
import { pace, paceImport as t } from './texts/en/pace.ts';
import { typedIn } from './typed.ts';
import { urls } from './urls.ts';

interface PaceImportPageProps {
  shell: Shell;
  slug: string;
  form: FormState;
  /** What is wrong with the files: the first problems, and how many there are. */
  problems: { readonly first: readonly ImportProblem[]; readonly count: number } | null;
}

const crumbs = (slug: string) => (
  <ClubCrumbs slug={slug} items={[{ href: urls.inClub(slug, 'pace'), label: pace.title }]} />
);

/** Chooses tables of past laps. */
export function PaceImportPage({ shell, slug, form, problems }: PaceImportPageProps) {
  const field = typedIn(form);
  return (
    <Page shell={shell} title={t.title} heading={t.title} above={crumbs(slug)}>
      <FormErrors errors={form.errors} />
      {problems === null ? null : <Problems {...problems} />}
      <p>{t.intro}</p>
      <p>{t.columns}</p>
      <dl class="facts">
        {t.columnList.map(([column, meaning]) => (
          <div key={column}>
            <dt>
              <code>{column}</code>
            </dt>
            <dd>{meaning}</dd>
          </div>
        ))}
      </dl>
      <p>{t.driversColumns}</p>
      <Form action={urls.inClub(slug, 'pace/import')} csrf={shell.csrf} enctype="multipart/form-data">
        <Field label={t.name} hint={t.nameHint} {...field('name')} maxlength={80} required />
        <Field
          label={t.laps}
          hint={t.limit}
          name="laps"
          type="file"
          accept=".csv,text/csv"
          error={form.errors.laps}
          required
        />
        <Field
          label={t.drivers}
          name="drivers"
          type="file"
          accept=".csv,text/csv"
          error={form.errors.drivers}
          optional
        />
        <ButtonRow>
          <Button kind="primary">{t.look}</Button>
        </ButtonRow>
        <p class="field-hint">{t.lookHint}</p>
      </Form>
    </Page>
  );
}

function Problems({ first, count }: { first: readonly ImportProblem[]; count: number }) {
  return (
    <Notice kind="danger" title={t.problemsTitle(count)}>
      {first.length < count ? <p>{t.problemsShown(first.length)}</p> : null}
      <ul>
        {first.map((problem, i) => (
          <li key={i}>
            <bdi>{problemWords(problem)}</bdi>
          </li>
        ))}
      </ul>
    </Notice>
  );
}

function problemWords({ file, line, column, kind, value }: ImportProblem): string {
  const where = line === 0 ? t.files[file] : t.line(t.files[file], line);
  return t.problem(where, t.kinds[kind](column, value));
}

interface FoundLapsPageProps {
  shell: Shell;
  slug: string;
  secret: string;
  draft: ImportDraft;
  known: KnownNames;
}

/** What was found in the tables, before anything is saved. */
export function FoundLapsPage({ shell, slug, secret, draft, known }: FoundLapsPageProps) {
  const { found, name } = draft;
  const { drivers, classes, tracks } = found;
  const count = (all: number, knownOnes: number) => t.newOf(all, all - knownOnes);
  const others = [
    ...classes.map((one) => ({ what: t.ofClass, name: one, known: known.classes.has(one) })),
    ...tracks.map((one) => ({ what: t.ofTrack, name: one, known: known.tracks.has(one) })),
  ];
  const mark = (isKnown: boolean) => (isKnown ? t.known : t.fresh);
  return (
    <Page shell={shell} title={t.checkTitle} heading={<bdi>{name}</bdi>} above={crumbs(slug)}>
      <Notice kind="info" title={t.unsaved}>
        {t.newHint}
      </Notice>
      <DefinitionList
        items={[
          { label: t.facts.laps, value: found.laps.lap.length.toLocaleString(shell.lang), numeric: true },
          { label: t.facts.nights, value: found.nights, numeric: true },
          { label: t.facts.drivers, value: count(drivers.length, known.drivers.size), numeric: true },
          { label: t.facts.classes, value: count(classes.length, known.classes.size), numeric: true },
          { label: t.facts.tracks, value: count(tracks.length, known.tracks.size), numeric: true },
        ]}
      />
      <div class="draft-actions">
        <Form action={urls.inClub(slug, `pace/import/${secret}`)} csrf={shell.csrf}>
          <Button kind="primary">{t.save}</Button>
        </Form>
        <ButtonLink href={urls.inClub(slug, 'pace')}>{t.cancel}</ButtonLink>
      </div>
      <Section title={t.driversTitle}>
        <DataTable
          caption={t.driversTitle}
          captionHidden
          rows={drivers}
          rowKey={({ driver }) => driver}
          columns={[
            { key: 'name', head: t.driverColumns.name, rowHead: true, cell: ({ driver }) => <bdi>{driver}</bdi> },
            { key: 'known', head: t.driverColumns.known, cell: ({ driver }) => mark(known.drivers.has(driver)) },
            { key: 'laps', head: t.driverColumns.laps, numeric: true, cell: ({ laps }) => laps },
            {
              key: 'group',
              head: t.driverColumns.group,
              cell: ({ group }) => (group === null ? t.groupNone : t.groups[group]),
            },
            {
              key: 'before',
              head: t.driverColumns.nightsBefore,
              numeric: true,
              cell: ({ nightsBefore }) => nightsBefore,
            },
          ]}
        />
      </Section>
      <Section title={t.otherTitle}>
        <p>{t.tracksHint}</p>
        <DataTable
          caption={t.otherTitle}
          captionHidden
          rows={others}
          rowKey={(_, i) => i}
          columns={[
            { key: 'name', head: t.otherColumns.name, rowHead: true, cell: (one) => <bdi>{one.name}</bdi> },
            { key: 'what', head: t.otherColumns.what, cell: ({ what }) => what },
            { key: 'known', head: t.otherColumns.known, cell: (one) => mark(one.known) },
          ]}
        />
      </Section>
    </Page>
  );
}
