import type { FastifyReply, FastifyRequest } from 'fastify';
import fp from 'fastify-plugin';
import type { VNode } from 'preact';
import { renderFragment, renderPage } from '../../views/html.ts';
import type { Shell } from '../../views/layout.tsx';
import { placesFor } from '../../views/places.ts';
import { common } from '../../views/texts/en/common.ts';
import { urls } from '../../views/urls.ts';
import { newId } from '../accounts/tokens.ts';

declare module 'fastify' {
  interface FastifyReply {
    /** What the page frame needs to know of this request; every page takes it. */
    shell(): Shell;
    /** Sends a whole page. */
    page(page: VNode, status?: number): FastifyReply;
    /** Sends a piece of a page, for htmx. */
    fragment(piece: VNode, status?: number): FastifyReply;
    /** After a form was carried out: look at this address. */
    see(path: string): FastifyReply;
  }
  interface FastifyRequest {
    /** True when htmx asks for a piece instead of a page. */
    wantsFragment(): boolean;
  }
}

/** How routes answer people: whole pages, pieces for htmx, and the way on after a form. */
export const pages = fp(
  async (app) => {
    app.decorateReply('shell', function (this: FastifyReply): Shell {
      const { club, visitor, url } = this.request;
      return {
        clubName: club?.name ?? common.productName,
        home: club ? urls.club(club.slug) : urls.home,
        role: visitor?.role ?? null,
        csrf: this.csrf(),
        commandId: newId(),
        path: url.split('?')[0] ?? '/',
        theme: 'auto',
        lang: 'en',
        navigation: club ? placesFor(club.slug, visitor?.role ?? null) : [],
      };
    });
    const send = (reply: FastifyReply, html: string, status: number) =>
      // Pages show what one person may see, at one moment.
      reply.code(status).type('text/html; charset=utf-8').header('cache-control', 'no-store').send(html);
    app.decorateReply('page', function (this: FastifyReply, page: VNode, status = 200) {
      return send(this, renderPage(page), status);
    });
    app.decorateReply('fragment', function (this: FastifyReply, piece: VNode, status = 200) {
      return send(this, renderFragment(piece), status);
    });
    app.decorateReply('see', function (this: FastifyReply, path: string) {
      return this.redirect(path, 303);
    });
    app.decorateRequest('wantsFragment', function (this: FastifyRequest) {
      return this.headers['hx-request'] === 'true' && this.headers['hx-request-type'] !== 'full';
    });
  },
  { name: 'pages', dependencies: ['csrf'] },
);
