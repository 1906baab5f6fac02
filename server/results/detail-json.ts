import type { CrossingKey } from '../heats/facts.ts';
import { falseStarts } from '../heats/false-starts.ts';
import type { HeatState } from '../heats/fold.ts';
import { never } from '../heats/race-clock.ts';
import { heatWarnings, type Warning } from '../heats/warnings.ts';
import type { CountedMeeting } from './count.ts';
import { resultsJson } from './results-json.ts';

/**
 * Results and every heat in detail as JSON, without white space and without a line end: the end of each heat, the
 * verdict on every crossing, laps, false starts and warnings. Heats come in the order of the facts.
 */
export function detailJson({ races, heats, latestUs }: CountedMeeting): string {
  // Written by hand, as an object would put ids that look like numbers first.
  const details = [...heats].map(([id, state]) => `${JSON.stringify(id)}:${JSON.stringify(heatForm(state, latestUs))}`);
  return `{"results":${resultsJson(races)},"heats":{${details.join(',')}}}`;
}

function heatForm(state: HeatState, latestUs: number) {
  return {
    end_us: state.clock.endUs === never ? null : state.clock.endUs,
    verdicts: state.lanes.flatMap(({ rules, crossings }) =>
      crossings.toArray().map(({ crossing, verdict }) => ({ ...keyForm(crossing), lane: rules.lane, verdict })),
    ),
    laps: state.lanes.flatMap(({ rules, laps }) =>
      laps.toArray().map(({ n, durationUs, flags }) => ({ lane: rules.lane, n, duration_us: durationUs, flags })),
    ),
    false_starts: falseStarts(state).map(({ lane, crossing }) => ({
      lane,
      at_us: crossing.atUs,
      ...keyForm(crossing),
    })),
    warnings: heatWarnings(state, latestUs).map(warningForm),
  };
}

function keyForm({ device, boot, seq }: CrossingKey) {
  return { device, boot, seq };
}

function warningForm(warning: Warning) {
  switch (warning.kind) {
    case 'missed': {
      const { kind, lane, n, judge, crossing, strength } = warning;
      return { kind, lane, n, judge, ...keyForm(crossing), strength };
    }
    case 'extra': {
      const { kind, lane, n, judge, crossing } = warning;
      return { kind, lane, n, judge, ...keyForm(crossing) };
    }
    case 'jumped':
      return { kind: warning.kind, from: warning.from, to: warning.to, ...keyForm(warning.crossing) };
    case 'silent':
      return { kind: warning.kind, lane: warning.lane };
  }
}
