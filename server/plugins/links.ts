import { networkInterfaces } from 'node:os';
import type { FastifyReply } from 'fastify';
import fp from 'fastify-plugin';
import { isLoopback, lanAddress } from '../shared/lan-address.ts';

declare module 'fastify' {
  interface FastifyReply {
    /**
     * The whole address of a path, as another device can open it: for codes to scan and links to send.
     *
     * @param path from the root, such as `/c/owls/enter?code=…`
     */
    linkTo(path: string): string;
  }
}

/**
 * Where other devices find this server: the configured public address; else the name this page was opened by; else,
 * when it was opened as `localhost`, this machine's address on the network.
 */
export const links = fp(
  async (app) => {
    const listeningPort = (): number | null => {
      const address = app.server.address();
      return typeof address === 'object' && address !== null ? address.port : null;
    };
    app.decorateReply('linkTo', function (this: FastifyReply, path: string): string {
      const { publicUrl, port } = app.config;
      if (publicUrl) return publicUrl + path;
      const { protocol, host, hostname } = this.request;
      if (!isLoopback(hostname)) return `${protocol}://${host}${path}`;
      const own = lanAddress(Object.values(networkInterfaces()).flatMap((list) => list ?? []));
      return `http://${own ?? 'localhost'}:${listeningPort() ?? port}${path}`;
    });
  },
  { name: 'links', dependencies: ['database', 'security'] },
);
