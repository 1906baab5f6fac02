import { errors as sentences } from '../views/texts/en/errors.ts';

/** The catalogue: every way a request is refused, with its HTTP status and the sentence a person reads. */
const catalogue = {
  notFound: { status: 404, sentence: sentences.notFound },
  noToken: { status: 401, sentence: sentences.noToken },
  notAllowedDirector: { status: 403, sentence: sentences.notAllowedDirector },
  notAllowedTiming: { status: 403, sentence: sentences.notAllowedTiming },
  notAllowedDriver: { status: 403, sentence: sentences.notAllowedDriver },
  notAllowedOwn: { status: 403, sentence: sentences.notAllowedOwn },
  wrongOrigin: { status: 403, sentence: sentences.wrongOrigin },
  wrongHost: { status: 421, sentence: sentences.wrongHost },
  tooLarge: { status: 413, sentence: sentences.tooLarge },
  malformed: { status: 400, sentence: sentences.malformed },
  unsupported: { status: 415, sentence: sentences.unsupported },
  tooMany: { status: 429, sentence: sentences.tooMany },
  busy: { status: 503, sentence: sentences.busy },
  workBusy: { status: 503, sentence: sentences.workBusy },
  stale: { status: 409, sentence: sentences.stale },
  broken: { status: 500, sentence: sentences.broken },
} as const;

export type RefusalCode = keyof typeof catalogue;

/** A request that is refused. Thrown by routes and actions, turned into a page or JSON by `plugins/failures.ts`. */
export class Refusal extends Error {
  readonly code: RefusalCode;
  readonly status: number;
  /** Plain words for the person: what happened, what was kept, what to do. */
  readonly sentence: string;

  constructor(code: RefusalCode, sentence?: string) {
    super(code);
    this.code = code;
    this.status = catalogue[code].status;
    this.sentence = sentence ?? catalogue[code].sentence;
  }
}

/** The refusal that stands for an HTTP status Fastify itself decided on. */
export function refusalOf(status: number): Refusal {
  const code = (Object.keys(catalogue) as RefusalCode[]).find((c) => catalogue[c].status === status);
  return new Refusal(code ?? (status >= 500 ? 'broken' : 'malformed'));
}
