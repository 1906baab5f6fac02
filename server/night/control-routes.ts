import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { ControlBoard, ControlPage } from '../../views/control.tsx';
import { RulingsPage } from '../../views/rulings.tsx';
import { control as t } from '../../views/texts/en/control.ts';
import { readIdField, urls } from '../../views/urls.ts';
import { newId } from '../accounts/tokens.ts';
import { Refusal } from '../errors.ts';
import { clubOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { DeskError, press, rerunHeat, rule, ruleAll, voidHeat } from './control-actions.ts';
import { decisionOf, heatSchema, pressSchema, readParts, ruleSchema } from './control-schemas.ts';
import { controlTopic } from './control-topic.ts';
import { deskHeatById, deskOf } from './control-view.ts';
import { crossingLines } from './crossing-list.ts';
import type { HeatCommand } from './heat-desk.ts';
import { meetingOf } from './meeting-of.ts';
import { publicState } from './state-json.ts';

const heatPath = '/c/:club/meetings/:meeting/heats/:heat';
const timing = { config: { access: 'timing' } } as const;

export const controlRoutes: FastifyPluginAsync = async (app) => {
  const desk = { db: app.db, clock: app.clock };

  const commandOf = (request: FastifyRequest, commandId: string): HeatCommand => {
    const { meeting, heat } = request.params as { meeting: string; heat: string };
    return {
      clubId: clubOf(request).id,
      meetingId: readIdField(meeting) ?? '',
      heatId: readIdField(heat) ?? '',
      commandId,
      by: request.visitor?.label ?? '',
    };
  };

  /** Race control as it stands now, with a sentence when a press did nothing. */
  const board = async (request: FastifyRequest, reply: FastifyReply, refused: string | null, status: number) => {
    const now = await meetingOf(app, request);
    const club = clubOf(request);
    const isDirector = request.visitor?.role === 'director';
    if (now.races.some(({ handicap }) => handicap !== null)) app.handicaps.look(club.id, now.meeting.id);
    if (request.wantsFragment()) {
      return reply.fragment(
        ControlBoard({ slug: club.slug, now, desk: deskOf(now, isDirector), refused, commandId: null }),
        status,
      );
    }
    const shell = reply.shell();
    return reply.page(
      ControlPage({ shell, slug: club.slug, now, desk: deskOf(now, isDirector), refused, commandId: newId() }),
      status,
    );
  };

  /** Carries a command out, then shows the page it came from: race control, or the heat's rulings. */
  const carryOut = async (request: FastifyRequest, reply: FastifyReply, work: () => Promise<unknown>) => {
    const slug = clubOf(request).slug;
    const { meeting, heat } = request.params as { meeting: string; heat: string };
    const fromRulings = (request.body as { from?: unknown } | null)?.from === 'rulings';
    try {
      await work();
    } catch (error) {
      if (!(error instanceof DeskError)) throw error;
      const status = error.code === 'stale' ? 409 : 422;
      return fromRulings
        ? rulings(request, reply, t.refused[error.code], status)
        : board(request, reply, t.refused[error.code], status);
    }
    if (request.wantsFragment()) return board(request, reply, null, 200);
    const id = readIdField(meeting) ?? '';
    return reply.see(
      fromRulings ? urls.heat(slug, id, readIdField(heat) ?? '', 'rulings') : urls.meeting(slug, id, 'control'),
    );
  };

  const rulings = async (request: FastifyRequest, reply: FastifyReply, refused: string | null, status: number) => {
    const now = await meetingOf(app, request);
    const { heat } = request.params as { heat: string };
    const deskHeat = deskHeatById(now, readIdField(heat) ?? '');
    const state = deskHeat && now.heats.get(deskHeat.heat.id);
    if (!deskHeat || !state) throw new Refusal('notFound');
    const shell = reply.shell();
    const crossings = crossingLines(state);
    const slug = clubOf(request).slug;
    return reply.page(
      RulingsPage({ shell, slug, now, heat: deskHeat, crossings, refused, newCommandId: newId }),
      status,
    );
  };

  app.get('/c/:club/meetings/:meeting/control', timing, (request, reply) => board(request, reply, null, 200));
  app.get(`${heatPath}/rulings`, timing, (request, reply) => rulings(request, reply, null, 200));

  app.get('/c/:club/meetings/:meeting/live/control', timing, async (request, reply) => {
    const now = await meetingOf(app, request);
    return app.live.stream(
      request,
      reply,
      controlTopic(app.watches, clubOf(request), now.meeting, request.visitor?.role === 'director'),
    );
  });

  app.get('/c/:club/meetings/:meeting/state.json', { config: { access: 'everyone' } }, async (request) =>
    publicState(await meetingOf(app, request)),
  );

  app.post(`${heatPath}/press`, timing, async (request, reply) => {
    const read = readForm(pressSchema, request.body);
    if (!read.ok) return board(request, reply, t.notReadable, 422);
    const { command_id, kind, seen_n, called_ago = 0 } = read.values;
    const command = { ...commandOf(request, command_id), kind, seenN: seen_n, calledAgoUs: called_ago * 1_000_000 };
    return carryOut(request, reply, () => press(desk, command));
  });

  app.post(`${heatPath}/rule`, timing, async (request, reply) => {
    const now = await meetingOf(app, request);
    const heat = deskHeatById(now, commandOf(request, '').heatId);
    if (!heat) throw new Refusal('notFound');
    const read = readForm(ruleSchema(heat.race.format === 'laps' ? 'laps' : 'time'), request.body);
    const decision = read.ok ? decisionOf(read.values) : null;
    const fromRulings = read.form.typed.from === 'rulings';
    if (!read.ok || !decision) {
      return fromRulings ? rulings(request, reply, t.notReadable, 422) : board(request, reply, t.notReadable, 422);
    }
    const { command_id, why } = read.values;
    return carryOut(request, reply, () => rule(desk, { ...commandOf(request, command_id), decision, why }));
  });

  app.post(`${heatPath}/parts`, timing, async (request, reply) => {
    const read = readParts(request.body);
    if (!read) return board(request, reply, t.refused['value-out-of-range'], 422);
    const decisions = read.parts.map(({ lane, part }) => ({
      decision: { kind: 'part' as const, target: { lane }, value: part },
      why: '',
    }));
    return carryOut(request, reply, () => ruleAll(desk, commandOf(request, read.commandId), decisions, true));
  });

  for (const [path, work] of [
    ['void', voidHeat],
    ['rerun', rerunHeat],
  ] as const) {
    app.post(`${heatPath}/${path}`, timing, async (request, reply) => {
      const read = readForm(heatSchema, request.body);
      if (!read.ok) return board(request, reply, t.notReadable, 422);
      const { command_id, why } = read.values;
      return carryOut(request, reply, () => work(desk, commandOf(request, command_id), why));
    });
  }
};
