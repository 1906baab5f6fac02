import type { HeatHandicap } from '../server/night/heat-handicap.ts';
import { chanceWords, givenWords } from './handicap-words.ts';
import { handicap as t } from './texts/en/handicap.ts';

/** What one lane is given before a heat, and, for directors, what that does to its chance. */
export function LaneHandicap({
  handicap,
  lane,
  format,
}: {
  handicap: HeatHandicap | null;
  lane: number;
  format: string;
}) {
  const own = handicap?.lanes.find((one) => one.lane === lane);
  if (!own) return null;
  const words = [givenWords(own, format)];
  const [before, after] = [chanceWords(own.chance?.before ?? null), chanceWords(own.chance?.after ?? null)];
  if (before !== null && after !== null) words.push(t.desk.chance(before, after));
  if (own.provisional && own.chance !== null) words.push(t.provisional);
  const said = words.filter((word) => word !== null);
  return said.length === 0 ? null : <span class="lane-handicap">{` (${said.join('; ')})`}</span>;
}

/** Whether a heat's handicap can be relied on. */
export function HandicapState({ handicap }: { handicap: HeatHandicap | null }) {
  if (handicap?.pending) return <p class="desk-hint">{t.desk.pending}</p>;
  return handicap?.blind ? <p class="desk-hint">{t.desk.none}</p> : null;
}
