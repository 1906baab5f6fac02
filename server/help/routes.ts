import type { FastifyPluginAsync } from 'fastify';
import { HelpListPage, HelpTopicPage } from '../../views/help/help-pages.tsx';
import { helpTopics } from '../../views/texts/en/help/index.ts';
import { Refusal } from '../errors.ts';

/** Help for the people who run a night and for those who build sensors. */
export const helpRoutes: FastifyPluginAsync = async (app) => {
  app.get('/help', { config: { access: 'everyone' } }, (_request, reply) =>
    reply.page(HelpListPage({ shell: reply.shell() })),
  );

  app.get('/help/:topic', { config: { access: 'everyone' } }, (request, reply) => {
    const { topic: name } = request.params as { topic: string };
    const topic = Object.hasOwn(helpTopics, name) ? helpTopics[name] : undefined;
    if (!topic) throw new Refusal('notFound');
    return reply.page(HelpTopicPage({ shell: reply.shell(), topic }));
  });
};
