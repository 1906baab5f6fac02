import { common } from '../texts/en/common.ts';
import { QrSymbol } from './qr-symbol.tsx';

interface QrCodeProps {
  /** The whole address, with scheme and host. */
  address: string;
  /** A short code that does the same when typed. */
  code?: string | undefined;
  size?: 'm' | 'l' | undefined;
}

/** An address to scan, with the same address and the code to type beneath, for everyone who cannot scan. */
export function QrCode({ address, code, size = 'm' }: QrCodeProps) {
  return (
    <figure class={`qr qr-${size}`}>
      <QrSymbol text={address} label={common.qr.alternative} />
      <figcaption>
        <a href={address}>{address}</a>
        {code ? (
          <span class="qr-code">
            {common.qr.code} <strong class="figure">{code}</strong>
          </span>
        ) : null}
      </figcaption>
    </figure>
  );
}
