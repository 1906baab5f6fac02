import { type Crossing, type Decision, isRuling } from '../heats/facts.ts';
import type { Entry, Heat, JournalLine, Meeting, MeetingFacts, Race, Track } from '../results/meeting-facts.ts';
import { logVersion } from './log-lines.ts';

/**
 * Writes a meeting as its log: JSON Lines, each line ended by a line feed, keys in the order of the format. What a
 * line names stands before it: people and plans first, then all crossings, then events and rulings as they were made.
 * Reading the log gives the same meeting.
 */
export function writeLog(facts: MeetingFacts): string {
  const lines = [
    meetingForm(facts.meeting),
    trackForm(facts.track),
    ...facts.drivers.map(({ id, nickname }) => ({ type: 'driver', id, nickname })),
    ...facts.races.map(raceForm),
    ...facts.entries.map(entryForm),
    ...originalsFirst(facts.heats).map(heatForm),
    ...facts.devices.map(({ id, bits }) => ({ type: 'device', id, bits })),
    ...facts.crossings.map(crossingForm),
    ...facts.journal.map(journalForm),
  ];
  return lines.map((line) => `${JSON.stringify(line)}\n`).join('');
}

/** A heat that is run again may have been moved before the one it runs again, which its line names. */
function originalsFirst(heats: readonly Heat[]): Heat[] {
  const byId = new Map(heats.map((heat) => [heat.id, heat]));
  const written = new Set<Heat>();
  const write = (heat: Heat): void => {
    const original = heat.reruns === null ? undefined : byId.get(heat.reruns);
    if (original && !written.has(original)) write(original);
    written.add(heat);
  };
  for (const heat of heats) write(heat);
  return [...written];
}

function meetingForm({ name, date, zone }: Meeting) {
  return { type: 'meeting', v: logVersion, name, date, zone };
}

function trackForm({ name, lanes, start, holdRollUs, endRollUs }: Track) {
  return {
    type: 'track',
    name,
    lanes: lanes.map(({ lane, lengthMm, minLapUs }) => ({ lane, length_mm: lengthMm, min_lap_us: minLapUs })),
    start,
    hold_roll_us: holdRollUs,
    end_roll_us: endRollUs,
  };
}

function raceForm(race: Race) {
  const { format } = race;
  const length =
    format.kind === 'time'
      ? { duration_ms: format.durationMs, first_to: format.firstTo }
      : { laps: format.laps, limit_ms: format.limitMs };
  return {
    type: 'race',
    id: race.id,
    name: race.name,
    class: race.carClass,
    format: format.kind,
    ...length,
    min_lap_us: race.minLapUs,
    missing: race.missing,
    standing_fastest: race.standingFastest,
    heats_per_entry: race.heatsPerEntry,
  };
}

function entryForm({ id, race, driver, car }: Entry) {
  return { type: 'entry', id, race, driver, car };
}

function heatForm({ id, race, ordinal, lanes, marshals, reruns }: Heat) {
  return {
    type: 'heat',
    id,
    race,
    ordinal,
    lanes: lanes.map(({ lane, entry, delayMs }) => ({ lane, entry, delay_ms: delayMs })),
    marshals,
    reruns,
  };
}

function crossingForm({ device, boot, seq, lane, tUs, atUs, late }: Crossing) {
  return { type: 'crossing', device, boot, seq, lane, t_us: tUs, at_us: atUs, ...(late ? { late } : {}) };
}

function journalForm({ heat, fact }: JournalLine) {
  const { n, kind, atUs, by } = fact;
  if (!isRuling(fact)) return { type: 'event', heat, n, kind, at_us: atUs, by };
  const value = 'value' in fact ? { value: fact.value } : {};
  return { type: 'ruling', heat, n, kind, target: targetForm(fact), ...value, why: fact.why, by, at_us: atUs };
}

function targetForm({ target }: Decision) {
  if ('device' in target) return { device: target.device, boot: target.boot, seq: target.seq };
  if ('lane' in target) return { lane: target.lane };
  if ('entry' in target) return { entry: target.entry };
  return 'n' in target ? { n: target.n } : {};
}
