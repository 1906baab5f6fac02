import type { VersionEffect } from '../server/profiles/effect/version-effect.ts';
import type { Codes } from '../server/profiles/exchange/codes.ts';
import type { PresetName } from '../server/profiles/motor/motor.ts';
import type { PicturesData } from '../server/profiles/pictures.ts';
import type { Share } from '../server/shares/store.ts';
import { Button, ButtonLink, ButtonRow } from './components/button.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { Breadcrumbs, type Crumb, EmptyState, Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { Page, type Shell } from './layout.tsx';
import { EffectNote, EffectWords, gainWords } from './profile-effect.tsx';
import { CopyFacts } from './share.tsx';
import { dayWords } from './share-words.ts';
import { SharedSetup } from './shared-setup.tsx';
import { shares as t } from './texts/en/shares.ts';
import { urls } from './urls.ts';

/** An entry as the list shows it. */
export type ListedEntry = Pick<Share, 'id' | 'setup' | 'version' | 'author' | 'carName' | 'className' | 'sharedOn'> & {
  /** What the car's motor is most like; null where nobody described it. */
  motor: PresetName | null;
  /** What was measured: above 0 helped, 0 nothing certain, below 0 slower. */
  effect: number;
};

export type LibrarySort = 'effect' | 'name' | 'day';

/** What is asked of the list; empty texts ask for nothing. */
export interface LibraryAsk {
  car: string;
  class: string;
  motor: string;
  sort: LibrarySort;
  page: number;
}

interface LibraryPageProps {
  shell: Shell;
  slug: string;
  ask: LibraryAsk;
  /** The entries of this page. */
  entries: readonly ListedEntry[];
  /** How many pages there are, at least 1. */
  pages: number;
  /** Whether the library holds anything at all. */
  isEmpty: boolean;
  cars: readonly string[];
  classes: readonly string[];
  motors: readonly PresetName[];
}

/** What members gave to the club. */
export function LibraryPage(props: LibraryPageProps) {
  const { shell, slug, isEmpty, entries } = props;
  const l = t.library;
  return (
    <Page shell={shell} title={l.title} heading={l.title} kind="wide" above={<Above shell={shell} slug={slug} />}>
      <p>{l.intro}</p>
      {isEmpty ? (
        <EmptyState title={l.none}>{l.noneIntro}</EmptyState>
      ) : (
        <>
          <Filter {...props} />
          <EntryTable slug={slug} lang={shell.lang} entries={entries} />
          <p class="field-hint">{l.effectHint}</p>
          <Pager {...props} />
        </>
      )}
    </Page>
  );
}

/** The way back to what is above; a director comes from the club's page. */
function Above({ shell, slug, items = [] }: { shell: Shell; slug: string; items?: readonly Crumb[] }) {
  if (shell.role === 'director') return <ClubCrumbs slug={slug} items={items} />;
  return items.length === 0 ? null : <Breadcrumbs items={items} />;
}

function Filter({ slug, ask, cars, classes, motors }: LibraryPageProps) {
  const l = t.library;
  const any = (values: readonly string[], label: (value: string) => string = (value) => value) => [
    { value: '', label: l.any },
    ...values.map((value) => ({ value, label: label(value) })),
  ];
  return (
    <Form action={urls.inClub(slug, 'library')} method="get">
      <div class="field-row">
        <SelectField label={l.car} name="car" value={ask.car} options={any(cars)} />
        <SelectField label={l.carClass} name="class" value={ask.class} options={any(classes)} />
        <SelectField
          label={l.motor}
          name="motor"
          value={ask.motor}
          options={any(motors, (name) => l.motors[name as PresetName])}
        />
        <SelectField
          label={l.sort}
          name="sort"
          value={ask.sort}
          options={(['effect', 'name', 'day'] as const).map((value) => ({ value, label: l.sorts[value] }))}
        />
      </div>
      <ButtonRow>
        <Button>{l.filter}</Button>
      </ButtonRow>
    </Form>
  );
}

function EntryTable({ slug, lang, entries }: { slug: string; lang: string; entries: readonly ListedEntry[] }) {
  const l = t.library;
  const c = l.columns;
  return (
    <DataTable
      caption={l.title}
      captionHidden
      rows={entries}
      rowKey={({ id }) => id}
      empty={l.noneFound}
      columns={[
        {
          key: 'profile',
          head: c.profile,
          rowHead: true,
          cell: ({ id, setup, version }) => (
            <>
              <a href={urls.inClub(slug, `library/${id}`)}>
                <bdi>{setup.name}</bdi>
              </a>
              <span class="cell-more">{t.page.versionName(version)}</span>
            </>
          ),
        },
        {
          key: 'effect',
          head: c.effect,
          cell: ({ effect }) => gainWords(effect) ?? (effect < 0 ? l.slower : l.noEffect),
        },
        {
          key: 'car',
          head: c.car,
          cell: ({ carName, className }) =>
            carName === null ? (
              l.noCar
            ) : (
              <>
                <bdi>{carName}</bdi>
                {className === null ? null : (
                  <span class="cell-more">
                    <bdi>{className}</bdi>
                  </span>
                )}
              </>
            ),
        },
        {
          key: 'motor',
          head: c.motor,
          wideOnly: true,
          cell: ({ motor }) => (motor === null ? l.noMotor : l.motors[motor]),
        },
        {
          key: 'by',
          head: c.by,
          wideOnly: true,
          cell: ({ author }) => (author === null ? l.noAuthor : <bdi>{author}</bdi>),
        },
        { key: 'since', head: c.since, wideOnly: true, cell: ({ sharedOn }) => dayWords(sharedOn, lang) },
      ]}
    />
  );
}

function Pager({ slug, ask, pages }: LibraryPageProps) {
  if (pages === 1) return null;
  const l = t.library;
  const to = (page: number) => {
    const { page: _, ...rest } = ask;
    return `${urls.inClub(slug, 'library')}?${new URLSearchParams({ ...rest, page: String(page) })}`;
  };
  return (
    <nav aria-label={l.pages}>
      <p>{l.pageNumber(ask.page, pages)}</p>
      <ButtonRow>
        {ask.page > 1 ? <ButtonLink href={to(ask.page - 1)}>{l.before}</ButtonLink> : null}
        {ask.page < pages ? <ButtonLink href={to(ask.page + 1)}>{l.next}</ButtonLink> : null}
      </ButtonRow>
    </nav>
  );
}

interface EntryPageProps {
  shell: Shell;
  slug: string;
  entry: Share;
  pictures: PicturesData;
  codes: Codes;
  /** Null where nothing can be said of it. */
  effect: VersionEffect | null;
  motor: PresetName | null;
  /** Whether this visitor may take it out. */
  mayTakeOut: boolean;
}

/** An entry of the library: what it does, what was measured, and the way to keep it. */
export function EntryPage({ shell, slug, entry, pictures, codes, effect, motor, mayTakeOut }: EntryPageProps) {
  const l = t.library;
  const { name } = entry.setup;
  const address = urls.inClub(slug, `library/${entry.id}`);
  return (
    <Page
      shell={shell}
      title={name}
      heading={<bdi>{name}</bdi>}
      above={<Above shell={shell} slug={slug} items={[{ href: urls.inClub(slug, 'library'), label: l.title }]} />}
    >
      <CopyFacts copy={entry} lang={shell.lang} />
      {motor === null ? null : <p>{l.motorOf(l.motors[motor])}</p>}
      <Section title={l.columns.effect} id="effect">
        {effect === null ? (
          <p>{l.noEffect}</p>
        ) : (
          <>
            <EffectWords effect={effect} />
            <EffectNote />
          </>
        )}
      </Section>
      <SharedSetup setup={entry.setup} pictures={pictures} codes={codes} file={`${address}/profile.json`}>
        <p>
          <ButtonLink kind="primary" href={`${urls.inClub(slug, 'profiles/receive')}?entry=${entry.id}`}>
            {t.shown.keep}
          </ButtonLink>
        </p>
      </SharedSetup>
      {mayTakeOut ? (
        <Form action={`${address}/take-out`} csrf={shell.csrf}>
          <Button kind="danger">{l.takeOut}</Button>
        </Form>
      ) : null}
    </Page>
  );
}
