import { encode } from 'uqr';
import { common } from '../texts/en/common.ts';

interface QrCodeProps {
  /** The whole address, with scheme and host. */
  address: string;
  /** A short code that does the same when typed. */
  code?: string | undefined;
  size?: 'm' | 'l' | undefined;
}

/** Quiet zone demanded around the code (ISO/IEC 18004). */
const quietModules = 4;

/** An address to scan, with the same address and the code to type beneath, for everyone who cannot scan. */
export function QrCode({ address, code, size = 'm' }: QrCodeProps) {
  const { data, size: modules } = encode(address, { ecc: 'M', border: quietModules });
  let path = '';
  for (const [y, row] of data.entries()) {
    for (const [x, dark] of row.entries()) if (dark) path += `M${x} ${y}h1v1h-1z`;
  }
  return (
    <figure class={`qr qr-${size}`}>
      {/* Black on white in every theme: many scanners do not read the reverse. */}
      <svg
        viewBox={`0 0 ${modules} ${modules}`}
        role="img"
        aria-label={common.qr.alternative}
        shape-rendering="crispEdges"
      >
        <path fill="#fff" d={`M0 0h${modules}v${modules}H0z`} />
        <path fill="#000" d={path} />
      </svg>
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
