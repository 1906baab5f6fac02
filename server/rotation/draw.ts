import { certify } from './certificate/certify.ts';
import { certifyDuty } from './certificate/duty.ts';
import { joinCertificates } from './certificate/join.ts';
import { type Part, partOf } from './draw-part.ts';
import { groupRequests, groupsOf, racing } from './groups.ts';
import { assignMarshals } from './marshals.ts';
import type { Certificate, DrawRequest, Driver, Rotation, Seat } from './rotation.ts';
import type { Seats } from './search/task.ts';

/** How far a draw is. */
export interface DrawProgress {
  /** Units of work done and in all; `of` is at least 1. */
  readonly done: number;
  readonly of: number;
  /** The best rotation so far when it is better than at the last progress, else null. The first progress carries one. */
  readonly better: Rotation | null;
}

/** A better rotation is certified and shown at most so often in one draw, as that takes time from the search. */
const mostShown = 12;

/**
 * Draws a rotation step by step: yields often, so that the caller can show progress, stop, or do something else in
 * between. The same request gives the same progress and the same rotation on every machine. Stopping at a progress and
 * taking the rotation reported last is a draw like any other. It ends early when nothing better can exist.
 *
 * @param request a request that `parseDrawRequest` accepts
 */
export function drawing(request: DrawRequest): Generator<DrawProgress, Rotation> {
  return request.steps === null ? wholeDraw(request) : stoppedDraw(wholeDraw(request), request.steps);
}

/** Ends a draw where somebody stopped it: with what it had reported by then. */
function* stoppedDraw(draw: Generator<DrawProgress, Rotation>, steps: number): Generator<DrawProgress, Rotation> {
  let best: Rotation | null = null;
  for (let done = -1; ; ) {
    const step = draw.next();
    if (best !== null && (step.done ? done >= steps : step.value.done > steps)) return best;
    if (step.done) return step.value;
    best = step.value.better ?? best;
    done = step.value.done;
    yield { ...step.value, of: Math.max(1, steps) };
  }
}

function* wholeDraw(request: DrawRequest): Generator<DrawProgress, Rotation> {
  const groups = groupsOf(request);
  const parts = groupRequests(request, groups).map(partOf);
  const found = parts.map(firstFound);
  const of = Math.max(1, sum(parts.map((part) => part.steps)));
  let shown = rotationOf(request, groups, parts, found);
  let shownAt = 0;
  yield { done: 0, of, better: shown };
  let before = 0;
  let newer = false;
  for (const [p, part] of parts.entries()) {
    while (part.search && !provedBest(shown)) {
      const step = part.search.next();
      const better = step.done ? step.value : step.value.better;
      if (better !== null) {
        found[p] = better;
        newer = true;
      }
      if (step.done) break;
      const done = Math.min(of, before + step.value.done);
      // Soon at first, as most is won then, and later in equal parts.
      const due = (done - shownAt) * mostShown >= of || (done - 2 * shownAt) * 1000 >= of;
      const show = newer && due;
      if (show) {
        shown = rotationOf(request, groups, parts, found);
        shownAt = done;
        newer = false;
      }
      yield { done, of, better: show ? shown : null };
    }
    before += part.steps;
  }
  return newer ? rotationOf(request, groups, parts, found) : shown;
}

/** Draws a rotation in one go. */
export function draw(request: DrawRequest): Rotation {
  const steps = drawing(request);
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
  }
}

const sum = (list: readonly number[]) => list.reduce((total, one) => total + one, 0);

/** What the first step of a search brings: legal heats at once. */
function firstFound(part: Part): Seats | null {
  const step = part.search?.next();
  if (step === undefined) return null;
  return step.done ? step.value : step.value.better;
}

function rotationOf(
  request: DrawRequest,
  groups: readonly Driver[][],
  parts: readonly Part[],
  found: readonly (Seats | null)[],
): Rotation {
  const blocks = parts.map((part, p) => part.heats(found[p] ?? null));
  const heats = blocks.flat();
  const drivers = racing(request);
  const before = new Map(request.duties.map(({ driver, duties }) => [driver, duties]));
  const { exempt, marshals: wanted } = request;
  const { marshals } = assignMarshals({ drivers, marshals: wanted, exempt }, heats, before);
  const duty = certifyDuty({ drivers, exempt, heats, marshals, wanted, before });
  return {
    heats,
    marshals,
    fewestHeats: sum(parts.map((part) => part.fewestHeats)),
    certificate: joinCertificates(
      parts.map((part, p) => certificateOf(part, blocks[p] as Seat[][])),
      duty,
    ),
    ...(groups.length > 1 && { groups: [...groups] }),
    seed: request.seed,
    engine: [...new Set(parts.map((part) => part.engine))].join(', '),
  };
}

/** The certificate of one group's night; its marshals are certified for all groups together. */
function certificateOf({ request, purpose }: Part, heats: readonly (readonly Seat[])[]): Certificate {
  const { lanes, lanesOut, done, leave, carsPerHeat } = request;
  const late = request.join.map((one) => one.driver);
  const ran = new Set(done.flat());
  const drivers = [...request.drivers, ...late].filter((driver) => ran.has(driver) || !leave.includes(driver));
  const marshals = heats.map(() => []);
  return certify({ drivers, lanes, lanesOut, done, heats, marshals, wanted: 0, leave, late, carsPerHeat, purpose });
}

function provedBest({ certificate }: Rotation): boolean {
  return Object.values(certificate).every((criterion) => criterion.verdict === 'proved best');
}
