import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from 'fastify';
import { DraftMoved, DraftPage, type DraftProps, DraftRegion } from '../../views/rotation-draft.tsx';
import { DrawFormPage } from '../../views/rotation-draw-form.tsx';
import { rotation as t } from '../../views/texts/en/rotation.ts';
import { urls } from '../../views/urls.ts';
import { drawPresets } from '../clubs/draw-preset.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf, logIdOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, withError } from '../shared/form.ts';
import type { RaceKey } from './actions.ts';
import { type NotTaken, newSeed, refusalOf, takeDraw } from './draft-actions.ts';
import { DraftJobs, type DraftState } from './draft-jobs.ts';
import { draftView, otherAims } from './draft-view.ts';
import { type DrawDesk, openDrawDesk } from './draw-desk.ts';
import { draftQuery, drawFormView, type Typed } from './draw-form.ts';
import { type Nearest, nearestForm, nearestRuns } from './draw-nearest.ts';
import { type Prepared, prepareDraw } from './draw-prepare.ts';
import { type AskedDraw, drawFields, drawSchema } from './draw-schema.ts';
import { selectOptionalDraw } from './draws-store.ts';
import { planLengthMs } from './plan-fairness.ts';

const director = { config: { access: 'director' } } as const;
const address = '/c/:club/meetings/:meeting/races/:race/rotation';

/** A person does not notice that a page waits for so long; a short draw is over by then. */
const endMs = 150;
/** How long a page waits for the first heats of a draw while the machine is busy. */
const firstMs = 1000;
/** How often a form without a seed is drawn for a plan that changes while it is drawn. */
const mostTries = 5;

/** The draft of a draw, looked at as long as somebody likes; saved only when it is taken. */
export const draftRoutes: FastifyPluginAsync = async (app) => {
  const jobs = new DraftJobs((request, options) => app.work.run('draw', request, options));
  app.addHook('preClose', async () => jobs.close());

  const keyOf = (request: FastifyRequest): RaceKey => ({
    clubId: clubOf(request).id,
    meetingId: idOf(request, 'meeting'),
    raceId: logIdOf(request, 'race'),
  });
  const hrefOf = (request: FastifyRequest, path: string, query = '') => {
    const { meetingId, raceId } = keyOf(request);
    const rotation = urls.race(clubOf(request).slug, meetingId, raceId, 'rotation');
    return `${rotation}${path && `/${path}`}${query && `?${query}`}`;
  };

  /** The form again, with a sentence beside what is wrong and the way to the nearest draft. */
  const again = (reply: FastifyReply, desk: DrawDesk, form: FormState, first: Nearest | null) => {
    const nearest = possible(desk, form, first);
    return reply.page(
      DrawFormPage({
        shell: reply.shell(),
        slug: clubOf(reply.request).slug,
        meeting: desk.plan.meeting,
        race: desk.plan.race,
        draw: drawFormView(desk, form),
        nearest: nearest && {
          href: hrefOf(
            reply.request,
            'draft',
            draftQuery(form.typed, { seed: null, plan: null, steps: null, ...nearest }),
          ),
          fields: nearest,
        },
      }),
      422,
    );
  };

  const readAsked = (desk: DrawDesk, sent: unknown) => {
    const fields = typeof sent === 'object' && sent !== null ? Object.entries(sent) : [];
    const own = fields.filter(([name]) => (drawFields as readonly string[]).includes(name));
    return readForm(drawSchema(desk.form), Object.fromEntries(own));
  };

  /** What the nearest draft has otherwise: every change brings the next problem up, until nothing is wrong. */
  const possible = (desk: DrawDesk, form: FormState, first: Nearest | null): Nearest | null => {
    let nearest = first;
    for (let tries = 0; nearest !== null && tries < mostTries; tries += 1) {
      const read = readAsked(desk, withChanges(form.typed, nearest));
      if (!read.ok) {
        nearest = { ...nearest, ...nearestOf(desk, read.form) };
        continue;
      }
      const prepared = prepareDraw(desk.drawPlan, read.values, newSeed(), nameIn(desk), desk.form.heatMs);
      if (prepared.ok) return nearest;
      nearest = prepared.nearest && { ...nearest, ...prepared.nearest };
    }
    return null;
  };

  const notPrepared = (reply: FastifyReply, desk: DrawDesk, form: FormState, prepared: Prepared & { ok: false }) =>
    again(reply, desk, withError(form, prepared.field, prepared.sentence), prepared.nearest);

  const notTaken = (reply: FastifyReply, desk: DrawDesk, form: FormState, asked: AskedDraw, why: NotTaken) => {
    if (typeof why === 'string') return again(reply, desk, withError(form, '', t.nothingLeft), null);
    const most = desk.plan.race.heatsPerEntry ?? why.tooManyRuns;
    const sentence = t.tooManyRuns(why.tooManyRuns, most);
    const nearest = nearestRuns(most, desk.form.lanes.length - asked.lanesOut.length);
    return again(reply, desk, withError(form, 'runsPerLane', sentence), nearest);
  };

  const nameIn = (desk: DrawDesk) => {
    const names = new Map(desk.plan.entries.map((entry) => [entry.id, entry.nickname]));
    return (id: string) => names.get(id) ?? id;
  };

  /** What the draft's page or its live part shows. */
  const draftProps = async (
    reply: FastifyReply,
    desk: DrawDesk,
    {
      typed,
      asked,
      prepared,
      polled,
    }: { typed: Typed; asked: AskedDraw; prepared: Prepared & { ok: true }; polled: boolean },
  ): Promise<DraftProps> => {
    const { planned, choices } = prepared;
    const { request } = planned;
    const fields = { ...typed, seed: String(choices.seed), plan: desk.fingerprint };
    const state = await jobs.look(request, polled, { endMs: polled ? 0 : endMs, firstMs });
    const others = await Promise.all(
      otherAims(request, choices).map(async (other) => ({
        aim: other.aim,
        // The chosen draw first: the others wait until it is there.
        state: state.finished ? await unlessBusy(jobs.look(other.request, polled, { endMs: 0, firstMs: 0 })) : null,
        href: hrefOf(reply.request, 'draft', draftQuery(fields, aimOf(other.aim))),
      })),
    );
    const link = (changes: Readonly<Record<string, string | null>>) =>
      hrefOf(reply.request, 'draft', draftQuery(fields, changes));
    return {
      shell: reply.shell(),
      slug: clubOf(reply.request).slug,
      meeting: desk.plan.meeting,
      race: desk.plan.race,
      entries: desk.plan.entries,
      everybody: desk.plan.everybody,
      lanes: desk.lanes,
      heatMs: desk.form.heatMs,
      lengthMs: planLengthMs(state.rotation?.heats.length ?? 0, desk.form.heatMs),
      choices,
      notice: null,
      minutes: asked.length === 'minutes' ? asked.minutes : null,
      state,
      stopped: asked.steps !== null,
      view: state.rotation && draftView(desk.drawPlan, planned, state.rotation),
      others,
      // What is shown is what is taken, also while the search goes on.
      taken: { ...fields, steps: state.finished ? (typed.steps ?? '') : String(state.done) },
      links: {
        poll:
          state.finished && others.every((other) => other.state?.finished)
            ? null
            : hrefOf(reply.request, 'draft/live', draftQuery(fields)),
        look: link({}),
        stop: state.finished ? null : link({ steps: String(state.done) }),
        lot: link({ seed: null, plan: null, steps: null }),
        longer: (searchS) => link({ search: String(searchS), steps: null }),
        more: link({ more: 'on', steps: null }),
        less: link({ more: null, steps: null }),
        back: `${hrefOf(reply.request, '')}#draw`,
        take: hrefOf(reply.request, 'draw'),
      },
    };
  };

  const show = async (
    reply: FastifyReply,
    desk: DrawDesk,
    form: FormState,
    asked: AskedDraw,
    { notice, status = 200 }: { notice: DraftProps['notice']; status?: number },
  ) => {
    const seed = asked.seed ?? newSeed();
    const prepared = prepareDraw(desk.drawPlan, asked, seed, nameIn(desk), desk.form.heatMs);
    if (!prepared.ok) return notPrepared(reply, desk, form, prepared);
    const props = await draftProps(reply, desk, { typed: form.typed, asked, prepared, polled: false });
    const refused = props.view && refusalOf(prepared.planned, props.view.rotation, desk.plan);
    if (refused) return notTaken(reply, desk, form, asked, refused);
    return reply.page(DraftPage({ ...props, notice }), status);
  };

  app.get(`${address}/draft`, director, async (request, reply) => {
    const desk = await openDrawDesk(app.db, keyOf(request));
    const read = readAsked(desk, request.query);
    if (!read.ok) return again(reply, desk, read.form, nearestOf(desk, read.form));
    if (read.values.seed === null) {
      const { usual, again: before } = desk.usual;
      const typed = 'runsPerLane' in read.form.typed ? read.form.typed : { ...usual, ...before, ...read.form.typed };
      const begun = { seed: String(newSeed()), plan: desk.fingerprint, steps: null };
      return reply.redirect(hrefOf(request, 'draft', draftQuery(typed, begun)), 302);
    }
    const { plan } = read.values;
    const notice = plan === null || plan === desk.fingerprint ? null : 'moved';
    return show(reply, desk, read.form, read.values, { notice });
  });

  app.get(`${address}/draft/live`, director, async (request, reply) => {
    const desk = await openDrawDesk(app.db, keyOf(request));
    const read = readAsked(desk, request.query);
    const look = hrefOf(request, 'draft', draftQuery(read.form.typed, { plan: null, steps: null, seed: null }));
    if (!read.ok || read.values.plan !== desk.fingerprint) return reply.fragment(DraftMoved({ look }));
    const seed = read.values.seed ?? newSeed();
    const prepared = prepareDraw(desk.drawPlan, read.values, seed, nameIn(desk), desk.form.heatMs);
    if (!prepared.ok) return reply.fragment(DraftMoved({ look }));
    const how = { typed: read.form.typed, asked: read.values, prepared, polled: true };
    return reply.fragment(DraftRegion(await draftProps(reply, desk, how)));
  });

  app.post(`${address}/draw`, director, async (request, reply) => {
    for (let tries = 1; ; tries += 1) {
      const desk = await openDrawDesk(app.db, keyOf(request));
      const read = readAsked(desk, request.body);
      if (!read.ok) return again(reply, desk, read.form, nearestOf(desk, read.form));
      const { form, values: asked } = read;
      const changed = () => show(reply, desk, form, asked, { notice: 'changed', status: 409 });
      if (asked.plan !== null && asked.plan !== desk.fingerprint) return changed();

      const prepared = prepareDraw(desk.drawPlan, asked, asked.seed ?? newSeed(), nameIn(desk), desk.form.heatMs);
      if (!prepared.ok) return notPrepared(reply, desk, form, prepared);
      const { planned, choices } = prepared;
      const rotation = await jobs.whole(planned.request);
      const keep = asked.keep ? asked.aim : null;
      const result = await takeDraw(app.db, keyOf(request), { planned, rotation, fingerprint: desk.fingerprint, keep });
      if (result === 'done') {
        for (const other of otherAims(planned.request, choices)) jobs.forget(other.request);
        return reply.see(hrefOf(request, ''));
      }
      if (result !== 'plan changed') return notTaken(reply, desk, form, asked, result);
      // Without a fingerprint the form is for whatever the plan is.
      if (asked.plan !== null || tries === mostTries) {
        const now = await openDrawDesk(app.db, keyOf(request));
        return show(reply, now, form, asked, { notice: 'changed', status: 409 });
      }
    }
  });

  app.get(`${address}/draws/:draw`, director, async (request, reply) => {
    const n = /^([1-9]\d{0,8})\.json$/.exec((request.params as { draw: string }).draw)?.[1];
    const { clubId, meetingId, raceId } = keyOf(request);
    const key = { clubId, meetingId, id: raceId };
    const drawn =
      n === undefined ? null : await app.db.readClub(clubId, (tx) => selectOptionalDraw(tx, key, Number(n)));
    if (!drawn) throw new Refusal('notFound');
    return reply
      .type('application/json; charset=utf-8')
      .header('cache-control', 'no-store')
      .send(`${JSON.stringify(drawn.request, null, 1)}\n`);
  });
};

/** Null while there is no room for more work: nobody depends on a comparison. */
const unlessBusy = (state: Promise<DraftState>) =>
  state.catch((error: unknown) => {
    if (error instanceof Refusal && error.code === 'workBusy') return null;
    throw error;
  });

/** The fields with others in their place; null takes one away. */
function withChanges(typed: Typed, changes: Nearest): Record<string, string | readonly string[]> {
  const fields = Object.entries({ ...typed, ...changes, seed: null, plan: null, steps: null });
  return Object.fromEntries(fields.flatMap(([name, value]) => (value === null ? [] : [[name, value] as const])));
}

const nearestOf = (desk: DrawDesk, form: FormState) => nearestForm(desk.form, form.typed, Object.keys(form.errors));

/** Fields of a draw that looks for even opponents or for rest. */
const aimOf = (aim: 'opponents' | 'rest') => ({ aim: String(drawPresets.indexOf(aim)), method: 'search', steps: null });
