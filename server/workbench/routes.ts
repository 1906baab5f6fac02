import type { FastifyPluginAsync } from 'fastify';
import { WorkbenchPage } from '../../views/workbench.tsx';
import { clubOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { freshForm } from '../shared/form.ts';
import { checkBench } from './bench.ts';
import { benchFormSchema, isFilledIn } from './schemas.ts';

/** Wires, supply, fuse and capacitor: what a controller and its leads have to stand. Nothing is kept. */
export const workbenchRoutes: FastifyPluginAsync = async (app) => {
  app.get('/c/:club/workbench', { config: { access: 'everyone' } }, async (request, reply) => {
    const query = request.query as Record<string, unknown>;
    const page = { shell: reply.shell(), slug: clubOf(request).slug };
    if (!isFilledIn(query)) return reply.page(WorkbenchPage({ ...page, form: freshForm(), results: null }));
    const read = readForm(benchFormSchema, query);
    if (!read.ok) return reply.page(WorkbenchPage({ ...page, form: read.form, results: null }), 422);
    return reply.page(WorkbenchPage({ ...page, form: read.form, results: checkBench(read.values) }));
  });
};
