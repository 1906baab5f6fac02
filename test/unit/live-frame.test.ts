import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { encodeEvent, encodeFrame } from '../../server/live/frame.ts';
import { Places } from '../../server/live/places.ts';

/** Reads a stream as WHATWG HTML, "Interpreting an event stream", says; written from that section alone. */
function readStream(stream: string): { event: string; data: string; retry: string | null }[] {
  const messages = [];
  let event = '';
  let data: string[] = [];
  let retry: string | null = null;
  for (const line of stream.split(/\r\n|\r|\n/)) {
    if (line === '') {
      if (data.length > 0) messages.push({ event: event || 'message', data: data.join('\n'), retry });
      event = '';
      data = [];
      retry = null;
      continue;
    }
    const colon = line.indexOf(':');
    const field = colon < 0 ? line : line.slice(0, colon);
    const value = colon < 0 ? '' : line.slice(colon + 1).replace(/^ /, '');
    if (field === 'event') event = value;
    if (field === 'data') data.push(value);
    if (field === 'retry') retry = value;
  }
  return messages;
}

const anyHtml = fc.string({ unit: fc.constantFrom('<', '>', '\n', '\r', ':', ' ', 'a', 'é', '\u2028', 'data: ') });

describe('a frame on the wire', () => {
  it('is one unnamed message, whatever line ends and colons the page holds', () => {
    fc.assert(
      fc.property(anyHtml, anyHtml, (one, two) => {
        const read = readStream(encodeFrame(one) + encodeFrame(two));
        const asRead = (html: string) => ({ event: 'message', data: html.replace(/\r\n|\r/g, '\n'), retry: null });
        expect(read).toEqual([asRead(one), asRead(two)]);
      }),
    );
  });

  it('names an event and says when to come back', () => {
    expect(readStream(encodeEvent('beat', '17', 500))).toEqual([{ event: 'beat', data: '17', retry: '500' }]);
    expect(encodeEvent('beat', '17')).not.toContain('retry');
  });
});

describe('limited places', () => {
  it('never gives more than there are, to one holder or in all, and gives back what was taken', () => {
    const steps = fc.array(fc.tuple(fc.boolean(), fc.constantFrom('a', 'b', 'c')), { maxLength: 60 });
    fc.assert(
      fc.property(steps, (walk) => {
        const places = new Places(4);
        const held: Record<string, number> = { a: 0, b: 0, c: 0 };
        for (const [taking, who] of walk) {
          const mine = held[who] ?? 0;
          const all = Object.values(held).reduce((sum, n) => sum + n, 0);
          if (taking) {
            const got = places.take(who, 2);
            expect(got).toBe(mine < 2 && all < 4);
            if (got) held[who] = mine + 1;
          } else if (mine > 0) {
            places.give(who);
            held[who] = mine - 1;
          }
        }
      }),
    );
  });
});
