import type { FastifyPluginAsync } from 'fastify';
import { WorkbenchPage } from '../../views/workbench.tsx';
import { clubOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm } from '../shared/form.ts';
import { type CheckResult, checkBench, overall } from './bench.ts';
import { benchFormSchema, isFilledIn } from './schemas.ts';

/** Wires, supply, fuse and capacitor: what a controller and its leads have to stand. Nothing is kept. */
export const workbenchRoutes: FastifyPluginAsync = async (app) => {
  app.get('/c/:club/workbench', { config: { access: 'everyone' } }, async (request, reply) => {
    const query = request.query as Record<string, unknown>;
    const show = (form: FormState, results: CheckResult[] | null, status = 200) => {
      const { slug } = clubOf(request);
      const found = overall(results ?? []);
      return reply.page(WorkbenchPage({ shell: reply.shell(), slug, form, results, overall: found }), status);
    };
    if (!isFilledIn(query)) return show(freshForm(), null);
    const read = readForm(benchFormSchema, query);
    return read.ok ? show(read.form, checkBench(read.values)) : show(read.form, null, 422);
  });
};
