import { urls } from './urls.ts';

/** Where the parts of a meeting's results are found: inside the club, or under its public address. */
export type ResultLinks = {
  results: string;
  heat: (heat: string) => string;
  entry: (entry: string) => string;
  json: string;
  text: string;
  resultsCsv: (race: string) => string;
  lapsCsv: (race: string) => string;
  /** The meeting log; null for whoever may not have it. */
  log: string | null;
};

/** @param log whether this visitor may take the meeting log */
export function clubLinks(slug: string, meeting: string, log: boolean): ResultLinks {
  return {
    results: urls.meeting(slug, meeting, 'results'),
    heat: (heat) => urls.heat(slug, meeting, heat),
    entry: (entry) => urls.entry(slug, meeting, entry),
    json: urls.meeting(slug, meeting, 'results.json'),
    text: urls.meeting(slug, meeting, 'results.txt'),
    resultsCsv: (race) => urls.race(slug, meeting, race, 'results.csv'),
    lapsCsv: (race) => urls.race(slug, meeting, race, 'laps.csv'),
    log: log ? urls.meeting(slug, meeting, 'log.jsonl') : null,
  };
}

/** @param code of the meeting's public address */
export function publicLinks(code: string): ResultLinks {
  return {
    results: urls.publicResults(code),
    heat: (heat) => urls.publicHeat(code, heat),
    entry: (entry) => urls.publicEntry(code, entry),
    json: urls.publicResults(code, 'results.json'),
    text: urls.publicResults(code, 'results.txt'),
    resultsCsv: (race) => urls.publicRace(code, race, 'results.csv'),
    lapsCsv: (race) => urls.publicRace(code, race, 'laps.csv'),
    log: null,
  };
}
