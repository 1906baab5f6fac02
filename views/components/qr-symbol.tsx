import { encode } from 'uqr';

/** Quiet zone demanded around the code (ISO/IEC 18004). */
const quietModules = 4;

/** A text to scan, at level M. */
export function QrSymbol({ text, label }: { text: string; label: string }) {
  const { data, size: modules } = encode(text, { ecc: 'M', border: quietModules });
  let path = '';
  for (const [y, row] of data.entries()) {
    for (const [x, dark] of row.entries()) if (dark) path += `M${x} ${y}h1v1h-1z`;
  }
  return (
    <svg viewBox={`0 0 ${modules} ${modules}`} role="img" aria-label={label} shape-rendering="crispEdges">
      {/* Black on white in every theme: many scanners do not read the reverse. */}
      <path fill="#fff" d={`M0 0h${modules}v${modules}H0z`} />
      <path fill="#000" d={path} />
    </svg>
  );
}
