import { type Bits, bitsOf, numberOf } from './bits.ts';

/** Symbols of D. Crockford's Base 32: without I, L, O and U, which are read or said wrongly. */
const symbols = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
const bitsPerSymbol = 5;
const bitsOfSymbol = new Map([...symbols].map((symbol, value) => [symbol, bitsOf(value, bitsPerSymbol)]));

/** Bits as symbols of five; zeros are put behind the last ones where they do not fill a symbol. */
export function toSymbols(bits: Bits): string {
  let text = '';
  for (let at = 0; at < bits.length; at += bitsPerSymbol) {
    const five = bits.slice(at, at + bitsPerSymbol);
    text += symbols[numberOf(five) << (bitsPerSymbol - five.length)];
  }
  return text;
}

/** O is read as 0, I and L as 1, small letters as large ones. Other characters stay what they are. */
export function foldSymbols(text: string): string {
  return text
    .replace(/[a-z]/g, (letter) => letter.toUpperCase())
    .replaceAll('O', '0')
    .replace(/[IL]/g, '1');
}

/** The bits of folded symbols, or the first character that is none. */
export function fromSymbols(text: string): { bits: Bits } | { stranger: string } {
  const bits: Bits = [];
  for (const character of text) {
    const five = bitsOfSymbol.get(character);
    if (five === undefined) return { stranger: character };
    bits.push(...five);
  }
  return { bits };
}
