import type { Codes } from '../server/profiles/exchange/codes.ts';
import type { PicturesData } from '../server/profiles/pictures.ts';
import type { Share } from '../server/shares/store.ts';
import { ButtonLink } from './components/button.tsx';
import { Notice } from './components/notice.tsx';

import { Page, type Shell } from './layout.tsx';
import { dayWords } from './share-words.ts';
import { SharedSetup } from './shared-setup.tsx';
import { shares as t } from './texts/en/shares.ts';
import { urls } from './urls.ts';

/** What a shared copy says of where it comes from: no driver, only what its owner wanted there. */
export type SharedCopy = Pick<Share, 'setup' | 'author' | 'carName' | 'className' | 'version' | 'sharedOn' | 'endsOn'>;

interface SharePageProps {
  shell: Shell;
  /** Slug of the link's club. */
  slug: string;
  code: string;
  copy: SharedCopy;
  pictures: PicturesData;
  codes: Codes;
}

/** A shared profile, for anyone who has its link. */
export function SharePage({ shell, slug, code, copy, pictures, codes }: SharePageProps) {
  const { name } = copy.setup;
  return (
    <Page shell={shell} title={name} heading={<bdi>{name}</bdi>}>
      <CopyFacts copy={copy} lang={shell.lang} />
      <SharedSetup setup={copy.setup} pictures={pictures} codes={codes} file={urls.share(code, 'profile.json')}>
        <p>
          <ButtonLink href={`${urls.inClub(slug, 'profiles/receive')}?link=${encodeURIComponent(code)}`}>
            {t.shown.keep}
          </ButtonLink>
        </p>
        <p class="field-hint">{t.shown.keepHint}</p>
      </SharedSetup>
    </Page>
  );
}

/** From whom, for what, since when. */
export function CopyFacts({ copy, lang }: { copy: SharedCopy; lang: string }) {
  const { author, carName, className, version, sharedOn, endsOn } = copy;
  return (
    <p>
      {author === null ? null : (
        <>
          <bdi>{t.shown.by(author)}</bdi>{' '}
        </>
      )}
      {t.shown.of(version, dayWords(sharedOn, lang))}{' '}
      {carName === null ? null : (
        <bdi>{className === null ? t.shown.car(carName) : t.shown.carOf(carName, className)}</bdi>
      )}{' '}
      {endsOn === null ? null : t.shown.ends(dayWords(endsOn, lang))}
    </p>
  );
}

/** Instead of a profile that is not shared any more. */
export function GonePage({ shell }: { shell: Shell }) {
  return (
    <Page shell={shell} title={t.shown.goneTitle} heading={t.shown.goneTitle}>
      <Notice kind="info">{t.shown.gone}</Notice>
    </Page>
  );
}
