import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { VNode } from 'preact';
import { EntryPage } from '../../views/entry-laps.tsx';
import { HeatPage } from '../../views/heat-result.tsx';
import { renderPage } from '../../views/html.ts';
import type { Shell } from '../../views/layout.tsx';
import type { ResultsData } from '../../views/results.tsx';
import { results as t } from '../../views/texts/en/results.ts';
import { Refusal } from '../errors.ts';
import { logIdOf } from '../plugins/club.ts';
import { attachment } from '../shared/attachment.ts';
import { lapsCsv, resultsCsv } from './csv.ts';
import type { RaceReport } from './report.ts';
import { resultsJson } from './results-json.ts';

/** Results as one visitor gets them: inside the club, or under the public address. */
export type ShownResults = {
  data: ResultsData;
  shell: Shell;
  /** The `cache-control` header of every answer. */
  cacheControl: string;
};

/** The same results for two kinds of visitor: files, pages of heats, pages of entries. */
export function addResultRoutes(
  app: FastifyInstance,
  prefix: string,
  read: (request: FastifyRequest, reply: FastifyReply) => Promise<ShownResults>,
): void {
  const everyone = { config: { access: 'everyone' } } as const;

  app.get(`${prefix}/results.json`, everyone, async (request, reply) => {
    const { data, cacheControl } = await read(request, reply);
    const { name, date } = data.meeting;
    const file = attachment([name, date], 'json');
    return sendFile(reply, 'application/json', file, cacheControl, resultsJson(data.standings));
  });

  app.get(`${prefix}/results.txt`, everyone, async (request, reply) => {
    const { data, cacheControl } = await read(request, reply);
    return reply.type('text/plain; charset=utf-8').header('cache-control', cacheControl).send(data.text);
  });

  app.get(`${prefix}/races/:race/results.csv`, everyone, async (request, reply) => {
    const { data, cacheControl } = await read(request, reply);
    const race = raceOf(data, logIdOf(request, 'race'));
    const { name, date } = data.meeting;
    const file = attachment([name, date, race.race.name], 'csv');
    return sendFile(reply, 'text/csv', file, cacheControl, resultsCsv(race, data.cars, words));
  });

  app.get(`${prefix}/races/:race/laps.csv`, everyone, async (request, reply) => {
    const { data, cacheControl } = await read(request, reply);
    const race = raceOf(data, logIdOf(request, 'race'));
    const { name, date } = data.meeting;
    const file = attachment([name, date, race.race.name, t.csv.fileLaps], 'csv');
    return sendFile(reply, 'text/csv', file, cacheControl, lapsCsv(race, data.report.names, words));
  });

  app.get(`${prefix}/heats/:heat`, everyone, async (request, reply) => {
    const { data, shell, cacheControl } = await read(request, reply);
    const id = logIdOf(request, 'heat');
    const race = data.report.races.find(({ heats }) => heats.some(({ heat }) => heat.id === id));
    const heat = race?.heats.find((one) => one.heat.id === id);
    if (!race || !heat) throw new Refusal('notFound');
    return sendPage(reply, HeatPage({ ...data, shell, race, heat }), cacheControl);
  });

  app.get(`${prefix}/entries/:entry`, everyone, async (request, reply) => {
    const { data, shell, cacheControl } = await read(request, reply);
    const id = logIdOf(request, 'entry');
    const race = data.report.races.find(({ standing }) => standing.rows.some(({ entry }) => entry === id));
    const row = race?.standing.rows.find(({ entry }) => entry === id);
    if (!race || !row) throw new Refusal('notFound');
    return sendPage(reply, EntryPage({ ...data, shell, race, row }), cacheControl);
  });
}

const words = { ...t.csv, flags: t.laps.flags };

function raceOf({ report }: ResultsData, id: string): RaceReport {
  const race = report.races.find((one) => one.race.id === id);
  if (!race) throw new Refusal('notFound');
  return race;
}

function sendFile(reply: FastifyReply, type: string, disposition: string, cacheControl: string, body: string) {
  return reply
    .type(`${type}; charset=utf-8`)
    .header('content-disposition', disposition)
    .header('cache-control', cacheControl)
    .send(body);
}

function sendPage(reply: FastifyReply, page: VNode, cacheControl: string) {
  return reply.type('text/html; charset=utf-8').header('cache-control', cacheControl).send(renderPage(page));
}
