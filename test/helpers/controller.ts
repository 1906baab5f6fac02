import { setTimeout as sleep } from 'node:timers/promises';
import type { FastifyInstance, LightMyRequestResponse } from 'fastify';
import type { TriggerReadings } from '../../server/profiles/calibration/calibrate.ts';

/** A part of a trace as a controller sends it. */
export interface SentPart {
  readonly trace: string;
  readonly seq: number;
  readonly bits: number;
  readonly rest_samples: number;
  readonly counts: readonly number[];
  readonly last: boolean;
}

/** What a network may do to a request. */
export type Way = 'arrives' | 'lost' | 'answer lost';

/** A controller that speaks for itself, as a program of somebody else would: it knows nothing but the contract. */
export class SimulatedController {
  readonly #app: FastifyInstance;
  token: string;
  /** The ETag of the profile it is set to. */
  #etag: string | null = null;

  constructor(app: FastifyInstance, token: string) {
    this.#app = app;
    this.token = token;
  }

  me(): Promise<LightMyRequestResponse> {
    return this.send('GET', '');
  }

  tellSheet(sheet: unknown): Promise<LightMyRequestResponse> {
    return this.send('PUT', '/sheet', sheet);
  }

  tellTouched(mechanicalSetting: number): Promise<LightMyRequestResponse> {
    return this.send('POST', '/mechanical', { mechanical_setting: mechanicalSetting });
  }

  samples(part: SentPart): Promise<LightMyRequestResponse> {
    return this.send('POST', '/samples', part);
  }

  /**
   * Sends the readings of a check in parts, each until it is answered; goes on from where the server says that readings
   * are missing, and waits when it is told to.
   *
   * @param way what becomes of each request, by its number from 0
   * @returns the answer to the last part, and how many requests it took
   */
  async check(
    trace: string,
    { bits, restSamples, counts }: TriggerReadings,
    perPart = 50,
    way: (request: number) => Way = () => 'arrives',
  ): Promise<{ answer: LightMyRequestResponse; requests: number }> {
    const all = Array.from(counts);
    let seq = 0;
    let requests = 0;
    let answer: LightMyRequestResponse | null = null;
    while (seq < all.length) {
      const part = all.slice(seq, seq + perPart);
      const last = seq + part.length === all.length;
      const fate = way(requests++);
      if (requests > 10 * all.length) throw new Error('the check never ends');
      if (fate === 'lost') continue;
      const sent = await this.samples({ trace, seq, bits, rest_samples: restSamples, counts: part, last });
      if (fate === 'answer lost') continue;
      if (sent.statusCode === 409 && sent.json().error === 'gap') seq = sent.json().next;
      else if (sent.statusCode === 429) await sleep(1000 * Number(sent.headers['retry-after']));
      else if (sent.statusCode === 200) {
        seq += part.length;
        answer = sent;
      } else return { answer: sent, requests };
    }
    if (!answer) throw new Error('there was nothing to send');
    return { answer, requests };
  }

  /** Asks for the next driver's profile, as it does every second; 304 while nothing has changed. */
  async profile(): Promise<LightMyRequestResponse> {
    const answer = await this.send('GET', '/profile', undefined, this.#etag ? { 'if-none-match': this.#etag } : {});
    this.#etag = answer.headers.etag?.toString() ?? this.#etag;
    return answer;
  }

  /** Any request with the token. */
  send(
    method: 'GET' | 'PUT' | 'POST',
    path: string,
    body?: unknown,
    headers: Record<string, string> = {},
  ): Promise<LightMyRequestResponse> {
    return this.#app.inject({
      method,
      url: `/api/v1/units/me${path}`,
      headers: { authorization: `Bearer ${this.token}`, ...headers },
      ...(body === undefined ? {} : { payload: body as object }),
    });
  }
}
