import { createHash } from 'node:crypto';
import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { calibrationWords } from '../../views/texts/en/calibration.ts';
import { unitApi as t } from '../../views/texts/en/unit-api.ts';
import { hashSecret } from '../accounts/tokens.ts';
import { Refusal } from '../errors.ts';
import type { Calibration } from '../profiles/calibration/calibrate.ts';
import { readSheet } from '../profiles/convert/sheet-schema.ts';
import { setupHash } from '../profiles/exchange/setup-hash.ts';
import { DeviceLimits } from '../timing/limits.ts';
import { whatIsWrong } from '../timing/schemas.ts';
import { noteTouched, saveSheet } from './actions.ts';
import { mostInPart, samplesSchema, touchedSchema, unitLimitBytes } from './api-schemas.ts';
import { selectOptionalValidCalibration } from './calibration-store.ts';
import { nextProfile } from './next-profile-desk.ts';
import { selectOptionalUnitByToken, touchUnit, type Unit } from './store.ts';
import { appendReadings } from './trace-actions.ts';
import { mostReadings } from './trace-parts.ts';
import { clubOfUnitToken } from './unit-token.ts';

declare module 'fastify' {
  interface FastifyRequest {
    /** The controller unit whose token this request carries. */
    unit: Unit | null;
  }
}

/** Readings that one unit may send; the fastest sensors are read 1000 times a second. */
const readings = { perSecond: 5000, atOnce: mostReadings };
const seenEveryMs = 60_000;
const device = { config: { access: 'device' }, bodyLimit: unitLimitBytes } as const;

/** The doors for controller units: JSON with a token, no cookies. What they send and get is written down in the README. */
export const unitApiRoutes: FastifyPluginAsync = async (app) => {
  const limits = new DeviceLimits(readings);
  // Nothing but JSON: a form of another page cannot send that without asking first.
  app.removeContentTypeParser(['text/plain', 'application/x-www-form-urlencoded']);
  app.decorateRequest('unit', null);

  // Before the body is read: nobody without a token sends one.
  app.addHook('onRequest', async (request, reply) => {
    const token = /^Bearer ([\w-]+)$/i.exec(request.headers.authorization ?? '')?.[1] ?? '';
    const clubId = clubOfUnitToken(token);
    const unit =
      clubId && (await app.db.readClub(clubId, (tx) => selectOptionalUnitByToken(tx, clubId, hashSecret(token))));
    if (!unit) {
      reply.header('www-authenticate', 'Bearer');
      throw new Refusal('noToken');
    }
    request.unit = unit;
    const seenMs = unit.seenAt?.getTime() ?? 0;
    if (app.clock.nowUs() / 1000 - seenMs > seenEveryMs) {
      await app.db.withClub(unit.clubId, (tx) => touchUnit(tx, unit));
    }
  });
  app.addHook('preHandler', async (request, reply) => {
    const { clubId, id } = unitOf(request);
    const counts = (request.body as { counts?: unknown } | null | undefined)?.counts;
    const count = Array.isArray(counts) ? Math.min(counts.length, mostInPart) : 0;
    const waitMs = limits.waitMs(`${clubId}/${id}`, count, performance.now());
    if (waitMs === 0) return;
    reply.header('retry-after', Math.max(1, Math.ceil(waitMs / 1000)));
    throw new Refusal('tooMany', t.tooFast);
  });

  app.get('/api/v1/units/me', device, async (request) => {
    const unit = unitOf(request);
    const kept = await app.db.readClub(unit.clubId, (tx) =>
      selectOptionalValidCalibration(tx, unit, unit.mechanicalSetting),
    );
    return {
      name: unit.name,
      mechanical_setting: unit.mechanicalSetting,
      sheet: unit.sheet,
      calibration: kept && {
        bits: kept.bits,
        released: kept.released,
        pressed: kept.pressed,
        direction: kept.direction,
        travel: kept.travel,
        noise: kept.noise,
        dead_band: kept.deadBand,
      },
      server_us: app.clock.nowUs(),
    };
  });

  app.put('/api/v1/units/me/sheet', device, async (request) => {
    const read = readSheet(request.body);
    if (!read.ok) throw new Refusal('malformed', read.problem.sentence);
    await saveSheet(app.db, unitOf(request), read.sheet);
    return { sheet: read.sheet };
  });

  app.post('/api/v1/units/me/mechanical', device, async (request, reply) => {
    const { mechanical_setting } = read(touchedSchema, request.body);
    const now = await noteTouched(app.db, unitOf(request), mechanical_setting);
    if (now === null) throw new Refusal('noToken');
    // Taken for a late word, it would leave a calibration valid whose trigger was touched.
    if (mechanical_setting > now) return conflict(reply, 'ahead', t.ahead(now), { mechanical_setting: now });
    return { mechanical_setting: now };
  });

  app.post('/api/v1/units/me/samples', device, async (request, reply) => {
    const unit = unitOf(request);
    const { trace, ...part } = read(samplesSchema, request.body);
    const done = await appendReadings(app.db, unit, trace, part);
    switch (done.kind) {
      case 'stored':
        return { stored: done.length, complete: done.found !== null, ...(done.found && answerOf(done.found)) };
      case 'gap':
        return conflict(reply, done.kind, t.gap(done.next), { next: done.next });
      case 'full':
        return conflict(reply, done.kind, t.full(mostReadings));
      case 'gone':
        throw new Refusal('noToken');
      default:
        return conflict(reply, done.kind, t[done.kind]);
    }
  });

  app.get('/api/v1/units/me/profile', device, async (request, reply) => {
    const found = await nextProfile(app, unitOf(request));
    switch (found.kind) {
      case 'noHolder':
      case 'noHeat':
        throw new Refusal('notFound', t[found.kind]);
      case 'nothingChosen':
        throw new Refusal('notFound', t.nothingChosen(found.next.entry.nickname));
      case 'found':
    }
    const { next, profile, isLimited, conversion } = found;
    if (conversion?.needsConfirmation) return conflict(reply, 'needsConfirmation', t.needsConfirmation);
    const answer = {
      profile,
      hash: `sha256:${setupHash(profile)}`,
      table: conversion?.table ?? null,
      driver: next.entry.nickname,
      race: next.race.name,
      heat: next.heat.id,
      heat_number: next.number,
      lane: next.lane,
      limited_by_race: isLimited,
      changes: conversion?.report.filter(({ what }) => what !== 'exact') ?? [],
    };
    const etag = `"${createHash('sha256').update(JSON.stringify(answer)).digest('base64url')}"`;
    reply.header('etag', etag).header('cache-control', 'private, no-cache');
    if (request.headers['if-none-match'] === etag) return reply.code(304).send();
    return answer;
  });
};

function unitOf(request: FastifyRequest): Unit {
  if (!request.unit) throw new Refusal('noToken');
  return request.unit;
}

/** What the unit may do about it stands in the sentence; `error` is for its program. */
function conflict(reply: FastifyReply, error: string, sentence: string, more: object = {}): FastifyReply {
  return reply.code(409).send({ error, sentence, ...more });
}

function answerOf(calibration: Calibration) {
  const { verdict, codes, warnings, ends, adviceDegrees } = calibration;
  const advice = calibrationWords.advice(calibration);
  const sentences = [calibrationWords.verdicts[verdict], ...codes.map((code) => calibrationWords.codes[code])];
  return {
    verdict,
    codes,
    warnings,
    released: ends?.released ?? null,
    pressed: ends?.pressed ?? null,
    direction: ends?.direction ?? null,
    travel: ends?.travel ?? null,
    noise: ends?.noise ?? null,
    dead_band: ends?.deadBand ?? null,
    advice_degrees: adviceDegrees,
    sentence: [...sentences, ...(advice === null ? [] : [advice])].join(' '),
  };
}

type Parsed<T> = { success: true; data: T } | { success: false; error: Parameters<typeof whatIsWrong>[0] };

function read<T>(schema: { safeParse(body: unknown): Parsed<T> }, body: unknown): T {
  const parsed = schema.safeParse(body);
  if (parsed.success) return parsed.data;
  throw new Refusal('malformed', whatIsWrong(parsed.error));
}
