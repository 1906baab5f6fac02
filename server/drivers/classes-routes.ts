import type { FastifyPluginAsync, FastifyReply } from 'fastify';
import { ClassesPage, ClassPage } from '../../views/classes.tsx';
import { classes as t } from '../../views/texts/en/cars.ts';
import { urls } from '../../views/urls.ts';
import { Refusal } from '../errors.ts';
import { clubOf, idOf } from '../plugins/club.ts';
import { readForm } from '../plugins/forms.ts';
import { type FormState, freshForm, withError } from '../shared/form.ts';
import { archiveClass, saveClass } from './cars-actions.ts';
import { selectClasses, selectOptionalClass } from './cars-store.ts';
import { classSchema } from './schemas.ts';

export const classRoutes: FastifyPluginAsync = async (app) => {
  const director = { config: { access: 'director' } } as const;

  app.get('/c/:club/classes', director, async (request, reply) => {
    const club = clubOf(request);
    const classes = await app.db.readClub(club.id, (tx) => selectClasses(tx, club.id, { archived: true }));
    return reply.page(ClassesPage({ shell: reply.shell(), slug: club.slug, classes }));
  });

  /** @param id null for the form of a new class */
  const show = async (reply: FastifyReply, id: string | null, form: FormState | null) => {
    const club = clubOf(reply.request);
    const carClass = id === null ? null : await app.db.readClub(club.id, (tx) => selectOptionalClass(tx, club.id, id));
    if (id !== null && !carClass) throw new Refusal('notFound');
    const page = { shell: reply.shell(), slug: club.slug, carClass };
    if (form) return reply.page(ClassPage({ ...page, form }), 422);
    return reply.page(ClassPage({ ...page, form: freshForm({ name: carClass?.name ?? '' }) }));
  };

  const save = async (reply: FastifyReply, id: string | null) => {
    const club = clubOf(reply.request);
    const read = readForm(classSchema, reply.request.body);
    if (!read.ok) return show(reply, id, read.form);
    const refused = await saveClass(app.db, club.id, id, read.values.name);
    if (refused === null) return reply.see(urls.inClub(club.slug, 'classes'));
    if (refused === 'missing') throw new Refusal('notFound');
    const { name, archived } = refused.taken;
    return show(reply, id, withError(read.form, 'name', archived ? t.takenArchived(name) : t.taken(name)));
  };

  app.get('/c/:club/classes/new', director, async (_request, reply) => show(reply, null, null));
  app.post('/c/:club/classes/new', director, async (_request, reply) => save(reply, null));
  app.get('/c/:club/classes/:carClass', director, async (request, reply) =>
    show(reply, idOf(request, 'carClass'), null),
  );
  app.post('/c/:club/classes/:carClass', director, async (request, reply) => save(reply, idOf(request, 'carClass')));

  for (const what of ['archive', 'restore'] as const) {
    app.post(`/c/:club/classes/:carClass/${what}`, director, async (request, reply) => {
      const club = clubOf(request);
      await archiveClass(app.db, club.id, idOf(request, 'carClass'), what === 'archive');
      return reply.see(urls.inClub(club.slug, 'classes'));
    });
  }
};
