import type { VNode } from 'preact';
import { ButtonLink } from './components/button.tsx';
import { ClubCrumbs } from './components/club-crumbs.tsx';
import { EmptyState, Section } from './components/content.tsx';
import { Notice } from './components/notice.tsx';
import { Page, type Shell } from './layout.tsx';
import { urls } from './urls.ts';

interface ClubListPageProps<T> {
  shell: Shell;
  slug: string;
  /** Where the list stands in the club, such as `tracks`; new ones are made at `tracks/new`. */
  path: string;
  /** All of them, archived ones too. */
  items: readonly T[];
  words: { title: string; add: string; none: string; noneIntro: string; archived: string; archivedIntro: string };
  table: (caption: string, items: readonly T[]) => VNode;
  /** What was just done. */
  done?: string | null;
}

/** Everything of one kind that stays from night to night: what is in use, and below it what was archived. */
export function ClubListPage<T extends { archivedAt: Date | null }>(props: ClubListPageProps<T>) {
  const { shell, slug, path, items, words, table, done = null } = props;
  const inUse = items.filter(({ archivedAt }) => archivedAt === null);
  const archived = items.filter(({ archivedAt }) => archivedAt !== null);
  const add = (
    <ButtonLink kind="primary" href={urls.inClub(slug, `${path}/new`)}>
      {words.add}
    </ButtonLink>
  );
  return (
    <Page
      shell={shell}
      title={words.title}
      heading={words.title}
      above={<ClubCrumbs slug={slug} />}
      aside={add}
      status={done ?? undefined}
    >
      {done === null ? null : <Notice kind="ok">{done}</Notice>}
      {inUse.length === 0 ? <EmptyState title={words.none}>{words.noneIntro}</EmptyState> : table(words.title, inUse)}
      {archived.length === 0 ? null : (
        <Section title={words.archived}>
          <p>{words.archivedIntro}</p>
          {table(words.archived, archived)}
        </Section>
      )}
    </Page>
  );
}
