import type { Codes } from '../server/profiles/exchange/codes.ts';
import { QrSymbol } from './components/qr-symbol.tsx';
import { shares as t } from './texts/en/shares.ts';

/** A profile's short code, to copy, read out or scan. */
export function ShortCode({ codes, id }: { codes: Codes; id: string }) {
  return (
    <figure class="qr qr-m short-code">
      <QrSymbol text={codes.qr} label={t.code.alternative} />
      <figcaption>
        <strong class="figure" id={id}>
          {codes.code}
        </strong>
        <button class="button button-quiet" type="button" data-copy={`#${id}`} data-copied={t.code.copied} hidden>
          {t.code.copy}
        </button>
        <span class="field-hint">{t.code.hint}</span>
      </figcaption>
    </figure>
  );
}
