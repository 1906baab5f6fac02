import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readMultipart } from '../../server/shared/multipart.ts';

const bytes = (text: string) => new TextEncoder().encode(text);
const text = (b: Uint8Array | undefined) => new TextDecoder().decode(b);

/** A form as Node's own `fetch` sends it (undici, the encoder of RFC 7578 in the WHATWG standards). */
async function encoded(form: FormData): Promise<{ body: Uint8Array; type: string }> {
  const response = new Response(form);
  return { body: new Uint8Array(await response.arrayBuffer()), type: response.headers.get('content-type') ?? '' };
}

describe('forms as browsers send them', () => {
  it('gives fields and files in their order', async () => {
    const form = new FormData();
    form.set('csrf', 'tök-en');
    form.set('log', new Blob([new Uint8Array([0, 255, 13, 10, 45, 45, 13])]), 'night "one".jsonl');
    const { body, type } = await encoded(form);
    const [csrf, log, ...more] = readMultipart(body, type) ?? [];
    expect([csrf?.name, csrf?.filename, text(csrf?.bytes)]).toEqual(['csrf', null, 'tök-en']);
    expect([log?.name, log?.filename]).toEqual(['log', 'night %22one%22.jsonl']);
    expect([...(log?.bytes ?? [])]).toEqual([0, 255, 13, 10, 45, 45, 13]);
    expect(more).toEqual([]);
  });

  it('keeps any bytes of a file as they are', async () => {
    await fc.assert(
      fc.asyncProperty(fc.uint8Array({ maxLength: 400 }), async (content) => {
        const form = new FormData();
        form.set('log', new Blob([new Uint8Array(content)]), 'a');
        form.set('after', 'x');
        const { body, type } = await encoded(form);
        const parts = readMultipart(body, type);
        expect(parts?.map(({ name }) => name)).toEqual(['log', 'after']);
        expect(parts?.[0]?.bytes).toEqual(new Uint8Array(content));
      }),
    );
  });

  // RFC 7578, section 4.2, and RFC 2046, section 5.1.1: what a form may look like on the wire.
  it('reads the example of the standard', () => {
    const body = [
      '--AaB03x',
      'content-disposition: form-data; name="field1"',
      'content-type: text/plain;charset=UTF-8',
      '',
      'Joe owes \u20ac100.',
      '--AaB03x--',
      '',
    ].join('\r\n');
    const [field] = readMultipart(bytes(body), 'multipart/form-data; boundary=AaB03x') ?? [];
    expect([field?.name, text(field?.bytes)]).toEqual(['field1', 'Joe owes \u20ac100.']);
    expect(readMultipart(bytes(body), 'Multipart/Form-Data; charset=utf-8; boundary="AaB03x"')).toHaveLength(1);
  });

  it('reads an empty form and an empty file', () => {
    expect(readMultipart(bytes('--b--\r\n'), 'multipart/form-data; boundary=b')).toEqual([]);
    const body = '--b\r\nContent-Disposition: form-data; name="log"; filename=""\r\n\r\n\r\n--b--';
    expect(readMultipart(bytes(body), 'multipart/form-data; boundary=b')).toMatchObject([{ filename: '', bytes: {} }]);
  });
});

describe('what is no such form', () => {
  const part = '--b\r\nContent-Disposition: form-data; name="a"\r\n\r\nx\r\n';
  const type = 'multipart/form-data; boundary=b';

  it.each([
    ['no boundary named', `${part}--b--`, 'multipart/form-data'],
    ['another type', `${part}--b--`, 'text/plain; boundary=b'],
    ['a boundary that is too long', `${part}--b--`, `multipart/form-data; boundary=${'b'.repeat(71)}`],
    ['nothing', '', type],
    ['text before the first boundary', `hello\r\n${part}--b--`, type],
    ['no last boundary', part, type],
    ['cut in the middle', part.slice(0, -4), type],
    ['a part without a name', '--b\r\nContent-Disposition: form-data\r\n\r\nx\r\n--b--', type],
    ['a part of another kind', '--b\r\nContent-Disposition: attachment; name="a"\r\n\r\nx\r\n--b--', type],
    ['a part without a head', '--b\r\n\r\nx\r\n--b--', type],
    ['more parts than a form of ours has', `${part.repeat(11)}--b--`, type],
  ])('%s', (_what, body, contentType) => {
    expect(readMultipart(bytes(body), contentType)).toBeNull();
  });

  it('answers for any bytes and never reads for ever', () => {
    fc.assert(
      fc.property(
        fc.array(fc.constantFrom('--b', '--', '\r\n', 'name="a"', 'x', '\r'), { maxLength: 30 }),
        (pieces) => {
          const parts = readMultipart(bytes(`--b${pieces.join('')}`), type);
          expect(parts === null || Array.isArray(parts)).toBe(true);
        },
      ),
    );
  });
});
