import type { Certificate, Verdict } from '../../server/rotation/rotation.ts';
import { type CriterionName, certificate as words } from '../texts/en/certificate.ts';
import { rotationPictures } from '../texts/en/rotation-pictures.ts';
import { DataTable } from './data-table.tsx';

const t = rotationPictures.certificate;

interface CertificateWordsProps {
  certificate: Certificate;
  /** Tells two certificates of a page apart. Default: `certificate`. */
  id?: string | undefined;
  /** Short facts instead of sentences: for two draws side by side. */
  compact?: boolean | undefined;
  /** Says in which heats marshals are missing; '' where none is. See `certificate.emptyPosts` of the texts. */
  emptyPosts?: string | undefined;
}

/** How fair a rotation is: one sentence over all, one line a criterion, the numbers for those who ask. */
export function CertificateWords({ certificate, id = 'certificate', compact, emptyPosts = '' }: CertificateWordsProps) {
  return (
    <div class={compact ? 'certificate certificate-compact' : 'certificate'} id={id}>
      <p class="certificate-headline">{words.headline(certificate)}</p>
      {compact ? <Facts certificate={certificate} /> : <Sentences certificate={certificate} emptyPosts={emptyPosts} />}
      {compact ? null : <VerdictKey certificate={certificate} />}
      <details class="no-print">
        <summary>{words.numbersTitle}</summary>
        <Numbers certificate={certificate} id={id} />
      </details>
    </div>
  );
}

type OfCertificate = { certificate: Certificate };

function Sentences({ certificate, emptyPosts }: OfCertificate & { emptyPosts: string }) {
  return (
    <ul class="certificate-lines">
      {words.sentences(certificate).map(({ name, text }) => (
        <li key={name}>
          <VerdictMark verdict={certificate[name].verdict} />
          <span>{text}</span>
        </li>
      ))}
      {emptyPosts === '' ? null : (
        <li key="emptyPosts">
          <span class="verdict-mark" />
          <span>{emptyPosts}</span>
        </li>
      )}
    </ul>
  );
}

function Facts({ certificate }: OfCertificate) {
  return (
    <ul class="certificate-lines">
      {words.numbers(certificate).map(({ name, label }) => (
        <li key={name}>
          <VerdictMark verdict={certificate[name].verdict} />
          <span>
            {label}: <strong>{t.brief[name](certificate)}</strong>
            <span class="certificate-verdict"> {t.verdicts[certificate[name].verdict]}</span>
          </span>
        </li>
      ))}
    </ul>
  );
}

/** The shapes of the lines above, in words; only those that occur. */
function VerdictKey({ certificate }: OfCertificate) {
  const verdicts = new Set(words.sentences(certificate).map(({ name }) => certificate[name].verdict));
  return (
    <ul class="picture-key" aria-hidden="true">
      {(['proved best', 'best known', 'compromise'] as const)
        .filter((verdict) => verdicts.has(verdict))
        .map((verdict) => (
          <li key={verdict}>
            <VerdictMark verdict={verdict} />
            {t.verdicts[verdict]}
          </li>
        ))}
    </ul>
  );
}

/** Full: it is proved. Half: nothing better was found. Empty: it gave way to something else. */
const shapes = {
  'proved best': 'M10 2a8 8 0 1 0 0 16a8 8 0 1 0 0-16z',
  'best known': 'M10 2a8 8 0 1 0 0 16z',
} satisfies Partial<Record<Verdict, string>>;

function VerdictMark({ verdict }: { verdict: Verdict }) {
  return (
    <svg class="verdict-mark" viewBox="0 0 20 20" role="img" aria-label={t.verdicts[verdict]} focusable="false">
      <circle cx="10" cy="10" r="8" />
      {verdict === 'compromise' ? null : <path d={shapes[verdict]} />}
      {verdict === 'proved best' ? <path class="verdict-tick" d="M6 10.2l3 3L14 7.4" /> : null}
    </svg>
  );
}

type NumberRow = ReturnType<typeof words.numbers>[number] & { name: CriterionName };

function Numbers({ certificate, id }: OfCertificate & { id: string }) {
  const heads = words.columns;
  return (
    <DataTable<NumberRow>
      caption={words.numbersTitle}
      captionHidden
      id={`${id}-numbers`}
      rows={words.numbers(certificate)}
      rowKey={(row) => row.name}
      dense
      columns={[
        { key: 'criterion', head: heads.criterion, rowHead: true, cell: (row) => row.label },
        { key: 'achieved', head: heads.achieved, numeric: true, cell: (row) => row.achieved },
        { key: 'bound', head: heads.bound, numeric: true, cell: (row) => row.bound },
        {
          key: 'verdict',
          head: heads.verdict,
          cell: (row) => (
            <span class="verdict-word">
              <VerdictMark verdict={certificate[row.name].verdict} />
              {row.verdict}
            </span>
          ),
        },
        { key: 'why', head: heads.why, words: true, cell: (row) => row.why },
        { key: 'measure', head: heads.measure, words: true, cell: (row) => row.measure },
      ]}
    />
  );
}
