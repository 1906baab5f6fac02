/** Bits in the order in which they are sent, the most significant of a number first. */
export type Bits = (0 | 1)[];

/** The bits of a whole number from 0 below 2^width. */
export function bitsOf(value: number, width: number): Bits {
  return Array.from({ length: width }, (_, i) => ((value >>> (width - 1 - i)) & 1) as 0 | 1);
}

/** The number that bits stand for; at most 32 of them. */
export function numberOf(bits: Bits): number {
  return bits.reduce<number>((number, bit) => number * 2 + bit, 0);
}

/** Bits as bytes, zeros behind the last one until it is full. */
export function bytesOf(bits: Bits): Uint8Array {
  const bytes = new Uint8Array(Math.ceil(bits.length / 8));
  bits.forEach((bit, i) => {
    bytes[i >> 3] = (bytes[i >> 3] ?? 0) | (bit << (7 - (i & 7)));
  });
  return bytes;
}

/** The bits of bytes. */
export function bitsOfBytes(bytes: Iterable<number>): Bits {
  return Array.from(bytes).flatMap((byte) => bitsOf(byte, 8));
}
