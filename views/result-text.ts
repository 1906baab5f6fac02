import type { MeetingReport, RaceReport } from '../server/results/report.ts';
import type { TextResultParts } from '../server/results/text-result.ts';
import { lapTime } from './format.ts';
import { dayWords, headlineWords, scoreWords } from './result-words.ts';
import { results } from './texts/en/results.ts';

const t = results.text;

/** Names that fit into one line. */
const mostThanks = 8;

interface TextInput {
  meeting: { name: string; date: string };
  report: MeetingReport;
  lang: string;
  /** The whole public address; null: there is none. */
  address: string | null;
  nextDate: string | null;
}

/** The sentences of a result as plain text. */
export function textParts({ meeting, report, lang, address, nextDate }: TextInput): TextResultParts {
  const marshals = report.races.flatMap(({ heats }) =>
    heats.filter(({ stage }) => stage !== 'planned').flatMap(({ heat }) => heat.marshals),
  );
  const thanked = [...new Set(marshals.map((entry) => report.names.get(entry) ?? ''))];
  const closing = [
    thanked.length > 0 ? t.thanks(thanksNames(thanked)) : null,
    nextDate === null ? null : t.next(dayWords(nextDate, lang)),
    address,
  ];
  return {
    title: t.title(meeting.name, dayWords(meeting.date, lang)),
    races: report.races.map((race) => ({ headline: headlineWords(race), rows: rowsOf(race) })),
    closing: closing.filter((line) => line !== null),
    more: t.more,
  };
}

function thanksNames(names: readonly string[]): string {
  if (names.length <= mostThanks) return results.names(names);
  return results.names([...names.slice(0, mostThanks - 1), t.andOthers(names.length - mostThanks + 1)]);
}

function rowsOf({ race, standing }: RaceReport): string[] {
  return standing.rows
    .filter(({ heats }) => heats.length > 0)
    .map(({ place, nickname, score, laps, fastestUs, excluded }) => {
      const best = fastestUs === null ? '' : t.best(lapTime(fastestUs));
      const result = score === null ? t.noScore(laps) : scoreWords(race.format.kind, score);
      return t.row(place, nickname, excluded ? t.excluded : `${result}${best}`);
    });
}
