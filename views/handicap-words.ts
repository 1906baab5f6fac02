import { handicap as t } from './texts/en/handicap.ts';

interface Given {
  delayMs: number;
  credit: number;
}

/** At most two decimals, without zeros at the end. */
const figure = (value: number) => String(Math.round(value * 100) / 100);

/** What a driver gets, in words: "starts 7.4 s later"; null for nothing. */
export function givenWords({ delayMs, credit }: Given, format: string): string | null {
  if (delayMs > 0) return t.startsLater(figure(delayMs / 1000));
  if (credit === 0) return null;
  return format === 'laps' ? t.secondsGiven(figure(credit / 1000)) : t.lapsGiven(figure(credit / 100));
}

/** The same as short as a wall needs it: "+7.4 s". */
export function givenShort({ delayMs, credit }: Given, format: string): string | null {
  if (delayMs > 0) return t.wall.later(figure(delayMs / 1000));
  if (credit === 0) return null;
  return format === 'laps' ? t.wall.seconds(figure(credit / 1000)) : t.wall.laps(figure(credit / 100));
}

/** A chance in whole percent; nothing is called certain, nor out of the question. */
export function chanceWords(chance: number | null): string | null {
  if (chance === null || !Number.isFinite(chance)) return null;
  const percent = Math.round(100 * Math.min(1, Math.max(0, chance)));
  if (percent === 0) return t.percentUnder;
  return percent === 100 ? t.percentOver : t.percent(String(percent));
}
