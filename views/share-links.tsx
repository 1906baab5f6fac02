import type { Codes } from '../server/profiles/exchange/codes.ts';
import type { KeptProfile } from '../server/profiles/store.ts';
import type { FormState } from '../server/shared/form.ts';
import type { Share } from '../server/shares/store.ts';
import { Button, ButtonRow } from './components/button.tsx';
import { Checkbox } from './components/choice.tsx';
import { Section } from './components/content.tsx';
import { DataTable } from './components/data-table.tsx';
import { Field, SelectField } from './components/field.tsx';
import { Form } from './components/form.tsx';
import { QrSymbol } from './components/qr-symbol.tsx';
import type { Shell } from './layout.tsx';
import { ProfileSubpage } from './profile-subpage.tsx';
import { dayWords } from './share-words.ts';
import { ShortCode } from './short-code.tsx';
import { shares as t } from './texts/en/shares.ts';
import { typedIn } from './typed.ts';
import { idField, urls } from './urls.ts';

/** A link with its whole address. */
export type ShownLink = Share & { address: string; hasEnded: boolean };

interface SharingPageProps {
  shell: Shell;
  slug: string;
  profile: KeptProfile;
  /** The version that is shown and shared. */
  version: number;
  codes: Codes;
  links: readonly ShownLink[];
  /** What of this profile stands in the library. */
  entries: readonly Share[];
  /** Null where the owner's name may not be given. */
  author: string | null;
  form: FormState;
  /** What was just done, in a sentence. */
  status: string | undefined;
}

/** Everything by which a profile is handed on: code, file, links, the club's library; and what goes along. */
export function SharingPage(props: SharingPageProps) {
  const { shell, slug, profile, version, codes, form, status } = props;
  const title = t.page.titleOf(profile.setup.name);
  const address = urls.profile(slug, profile.id, 'share');
  return (
    <ProfileSubpage shell={shell} slug={slug} profile={profile} title={title} errors={form.errors} status={status}>
      <p>{t.page.intro}</p>
      {profile.latest === 1 ? null : <VersionChoice address={address} profile={profile} version={version} />}
      <Section title={t.page.codeTitle} id="code">
        <p>{t.page.codeIntro}</p>
        <ShortCode codes={codes} id="profile-code" />
        <p>
          <a href={`${urls.profile(slug, profile.id, 'profile.json')}?version=${version}`} download>
            {t.shown.file}
          </a>
        </p>
      </Section>
      <Links {...props} address={address} />
      <Library {...props} address={address} />
      <Along />
    </ProfileSubpage>
  );
}

function VersionChoice({ address, profile, version }: { address: string; profile: KeptProfile; version: number }) {
  const numbers = Array.from({ length: profile.latest }, (_, i) => profile.latest - i);
  return (
    <Form action={address} method="get">
      <div class="field-row">
        <SelectField
          label={t.page.version}
          name="version"
          value={version}
          options={numbers.map((n) => ({ value: n, label: t.page.versionOption(n, n === profile.latest) }))}
        />
      </div>
      <ButtonRow>
        <Button>{t.page.choose}</Button>
      </ButtonRow>
    </Form>
  );
}

type PartProps = SharingPageProps & { address: string };

/** A tick for the owner's name, where it may be given. */
function NameTick({ author, id }: { author: string | null; id: string }) {
  if (author === null) return null;
  return <Checkbox label={<bdi>{t.link.nameOf(author)}</bdi>} name="named" id={id} hint={t.link.nameHint} />;
}

function Links({ shell, address, version, links, author, form }: PartProps) {
  return (
    <Section title={t.link.title} id="links">
      <p>{t.link.intro}</p>
      <Form action={`${address}/link`} csrf={shell.csrf} commandId={shell.commandId} hidden={{ version }}>
        <NameTick author={author} id="link-named" />
        <Field
          label={t.link.endsOn}
          hint={t.link.endsOnHint}
          type="date"
          width="short"
          optional
          {...typedIn(form)('endsOn')}
        />
        <ButtonRow>
          <Button kind="primary">{t.link.make}</Button>
        </ButtonRow>
      </Form>
      <h3>{t.link.listTitle}</h3>
      <LinkTable links={links} address={address} csrf={shell.csrf} lang={shell.lang} />
    </Section>
  );
}

interface LinkTableProps {
  links: readonly ShownLink[];
  /** Of the page about sharing. */
  address: string;
  csrf: string | null;
  lang: string;
}

function LinkTable({ links, address, csrf, lang }: LinkTableProps) {
  const c = t.link.columns;
  return (
    <DataTable
      caption={t.link.listTitle}
      captionHidden
      rows={links}
      rowKey={({ id }) => id}
      empty={t.link.none}
      columns={[
        { key: 'link', head: c.link, rowHead: true, cell: (link) => <LinkCell link={link} lang={lang} /> },
        {
          key: 'withdraw',
          head: c.withdraw,
          cell: ({ id, sharedOn, version }) => (
            <Form action={`${address}/${encodeURIComponent(idField(id))}/withdraw`} csrf={csrf}>
              <Button kind="danger" aria-label={t.link.withdrawOf(dayWords(sharedOn, lang), version)}>
                {t.link.withdraw}
              </Button>
            </Form>
          ),
        },
      ]}
    />
  );
}

/** A link to open, copy or scan, and what is in it. */
function LinkCell({ link, lang }: { link: ShownLink; lang: string }) {
  const { id, code, address, version, author, sharedOn, endsOn, hasEnded } = link;
  return (
    <>
      <a class="share-address" id={`link-${id}`} href={urls.share(code ?? '')}>
        {address}
      </a>
      <span class="cell-more">
        {t.link.what(version, dayWords(sharedOn, lang))} <bdi>{t.link.named(author)}</bdi>{' '}
        {endsOn === null ? t.link.noEnd : t.link.ends(dayWords(endsOn, lang), hasEnded)}
      </span>
      {hasEnded ? null : (
        <>
          <button
            class="button button-quiet"
            type="button"
            data-copy={`#link-${id}`}
            data-copied={t.link.copied}
            hidden
          >
            {t.link.copy}
          </button>
          <details class="share-scan">
            <summary>{t.link.scan}</summary>
            <QrSymbol text={address} label={t.link.alternative} />
          </details>
        </>
      )}
    </>
  );
}

function Library({ shell, slug, address, version, entries, author }: PartProps) {
  const l = t.library;
  return (
    <Section title={l.publishTitle} id="library">
      <p>
        {l.publishIntro} <a href={urls.inClub(slug, 'library')}>{l.title}</a>
      </p>
      {entries.map((entry) => (
        <Form
          key={entry.id}
          action={`${address}/${encodeURIComponent(idField(entry.id))}/withdraw`}
          csrf={shell.csrf}
          hidden={{ from: 'library' }}
        >
          <p>
            {l.inIt(entry.version, dayWords(entry.sharedOn, shell.lang))}{' '}
            <a href={urls.inClub(slug, `library/${entry.id}`)}>{l.open}</a>
          </p>
          <ButtonRow>
            <Button kind="danger">{l.takeOutVersion(entry.version)}</Button>
          </ButtonRow>
        </Form>
      ))}
      {entries.some((entry) => entry.version === version) ? null : (
        <Form action={`${address}/library`} csrf={shell.csrf} commandId={shell.commandId} hidden={{ version }}>
          <NameTick author={author} id="library-named" />
          <ButtonRow>
            <Button>{l.publish}</Button>
          </ButtonRow>
        </Form>
      )}
    </Section>
  );
}

/** What a shared copy holds, and what it never does. */
function Along() {
  const list = (items: readonly string[]) => (
    <ul>
      {items.map((item) => (
        <li key={item}>{item}</li>
      ))}
    </ul>
  );
  return (
    <Section title={t.along.title} id="along">
      {list(t.along.goes)}
      <h3>{t.along.neverTitle}</h3>
      {list(t.along.never)}
    </Section>
  );
}
