const polynomial = 0x864cfb;
const initial = 0xb704ce;

/**
 * CRC-24/OPENPGP (RFC 4880, section 6): finds every run of wrong bits up to 24 long, so every single wrong character of
 * a short code and every swap of two neighbours.
 *
 * @returns 24 bits
 */
export function crc24(bytes: Iterable<number>): number {
  let crc = initial;
  for (const byte of bytes) {
    crc ^= byte << 16;
    for (let bit = 0; bit < 8; bit++) {
      crc <<= 1;
      if (crc & 0x1000000) crc ^= 0x1000000 | polynomial;
    }
  }
  return crc;
}
