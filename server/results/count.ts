import type { ClockBits, Crossing, HeatEvent, HeatFacts, Ruling } from '../heats/facts.ts';
import { isRuling } from '../heats/facts.ts';
import { foldHeat, type HeatState } from '../heats/fold.ts';
import { heatOutcome } from './heat-outcome.ts';
import { type MeetingFacts, planOfHeat, type Race } from './meeting-facts.ts';
import { type RaceStanding, raceStanding } from './standing.ts';
import { armingsInOrder, heatAt } from './windows.ts';

/** A meeting as counted from its facts. */
export type CountedMeeting = {
  /** Heats by id, in the order of the facts. */
  readonly heats: ReadonlyMap<string, HeatState>;
  /** In the order of the facts. */
  readonly races: readonly RaceStanding[];
  /** The latest instant of any event, ruling or crossing; negative infinity where there is none. */
  readonly latestUs: number;
};

/** Counts a whole meeting: which crossing belongs to which heat, the heats, the standings of the races. */
export function countMeeting(facts: MeetingFacts): CountedMeeting {
  const bits = new Map<string, ClockBits>(facts.devices.map((device) => [device.id, device.bits]));
  const races = new Map(facts.races.map((race) => [race.id, race]));
  const nicknames = new Map(facts.drivers.map(({ id, nickname }) => [id, nickname]));
  const latestUs = latestInstant(facts);
  const byHeat = factsByHeat(facts);

  const heats = new Map<string, HeatState>();
  for (const heat of facts.heats) {
    const race = races.get(heat.race) as Race;
    const own = byHeat.get(heat.id) as HeatFacts;
    heats.set(
      heat.id,
      foldHeat(planOfHeat(facts.track, race, heat), own, (device) => bits.get(device) ?? 64),
    );
  }

  const standings = facts.races.map((race) => {
    const entries = facts.entries.filter((entry) => entry.race === race.id);
    const outcomes = facts.heats
      .filter((heat) => heat.race === race.id)
      .map(({ id, ordinal }) => heatOutcome(heats.get(id) as HeatState, ordinal, latestUs));
    return raceStanding(race, entries, outcomes, (driver) => nicknames.get(driver) ?? '');
  });
  return { heats, races: standings, latestUs };
}

/** Sorts the journal and the crossings of a meeting by heat. */
function factsByHeat({ heats, journal, crossings }: MeetingFacts): Map<string, HeatFacts> {
  type Lists = { events: HeatEvent[]; rulings: Ruling[]; crossings: Crossing[] };
  const byHeat = new Map<string, Lists>(heats.map(({ id }) => [id, { events: [], rulings: [], crossings: [] }]));
  for (const { heat, fact } of journal) {
    if (isRuling(fact)) byHeat.get(heat)?.rulings.push(fact);
    else byHeat.get(heat)?.events.push(fact);
  }
  const armings = armingsInOrder(
    journal.flatMap(({ heat, fact }) => (fact.kind === 'arm' ? [{ heat, atUs: fact.atUs }] : [])),
  );
  for (const crossing of crossings) {
    const heat = heatAt(armings, crossing.atUs);
    if (heat !== null) byHeat.get(heat)?.crossings.push(crossing);
  }
  return byHeat;
}

function latestInstant({ journal, crossings }: MeetingFacts): number {
  let latestUs = Number.NEGATIVE_INFINITY;
  for (const { fact } of journal) latestUs = Math.max(latestUs, fact.atUs);
  for (const { atUs } of crossings) latestUs = Math.max(latestUs, atUs);
  return latestUs;
}
