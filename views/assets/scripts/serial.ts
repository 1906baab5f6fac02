/**
 * Readings of a trigger over a USB cable, for browsers with Web Serial (https://wicg.github.io/serial/): they open a port
 * only on localhost or over https. What is read goes into the form that readings are typed into.
 */
import { SerialLines } from './serial-lines.ts';

/** What of Web Serial is used; TypeScript's browser types do not have it. */
interface SerialPort {
  open(options: { baudRate: number }): Promise<void>;
  close(): Promise<void>;
  readonly readable: ReadableStream<Uint8Array> | null;
}
interface Serial {
  requestPort(): Promise<SerialPort>;
}

const most = 20_000;
/** The number on the page follows so often. */
const shownEveryMs = 200;

function startSerial(part: HTMLElement, serial: Serial): void {
  const find = <E extends HTMLElement>(mark: string) => part.querySelector<E>(`[data-serial-${mark}]`);
  const begin = find<HTMLButtonElement>('begin');
  const end = find<HTMLButtonElement>('end');
  const count = find('count');
  const problem = find('problem');
  const form = document.querySelector<HTMLFormElement>(part.dataset.serial ?? '');
  if (!begin || !end || !count || !problem || !form) return;
  const missing = find('missing');
  const there = find('there');
  if (missing) missing.hidden = true;
  if (there) there.hidden = false;

  let reader: ReadableStreamDefaultReader<Uint8Array> | null = null;
  let lines = new SerialLines(most);

  const say = (sentence: string | undefined) => {
    problem.hidden = sentence === undefined;
    problem.textContent = sentence ?? '';
  };
  const show = () => {
    count.textContent = (count.dataset.serialCount ?? '{n}').replace('{n}', String(lines.counts.length));
  };

  /** Reads until the port or the person ends it. */
  async function readAll(port: SerialPort): Promise<void> {
    const text = new TextDecoder();
    const shown = setInterval(show, shownEveryMs);
    try {
      reader = port.readable?.getReader() ?? null;
      for (;;) {
        const piece = await reader?.read();
        if (!piece || piece.done) break;
        lines.add(text.decode(piece.value, { stream: true }));
      }
    } catch {
      // The cable was pulled: what was read stays.
      say(part.dataset.serialLost);
    } finally {
      clearInterval(shown);
      reader?.releaseLock();
      reader = null;
      await port.close().catch(() => {});
      show();
    }
  }

  begin.addEventListener('click', async () => {
    say(undefined);
    let port: SerialPort;
    try {
      port = await serial.requestPort();
    } catch {
      return; // nobody chose one
    }
    try {
      await port.open({ baudRate: Number(part.querySelector('select')?.value ?? 115_200) });
    } catch {
      return say(part.dataset.serialFailed);
    }
    lines = new SerialLines(most);
    begin.disabled = true;
    end.disabled = false;
    await readAll(port);
    begin.disabled = false;
  });

  end.addEventListener('click', async () => {
    await reader?.cancel().catch(() => {});
    if (lines.counts.length === 0) return say(part.dataset.serialNothing);
    const field = form.elements.namedItem('counts');
    const source = form.elements.namedItem('fromCable');
    if (!(field instanceof HTMLTextAreaElement) || !(source instanceof HTMLInputElement)) return;
    field.value = lines.counts.join('\n');
    source.value = 'yes';
    form.requestSubmit();
  });
}

const { serial } = navigator as Navigator & { serial?: Serial };
if (serial) {
  for (const part of document.querySelectorAll<HTMLElement>('[data-serial]')) startSerial(part, serial);
}
