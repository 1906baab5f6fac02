import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import { readdir, readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import files from '@fastify/static';
import fp from 'fastify-plugin';

const here = path.dirname(fileURLToPath(import.meta.url));

/** The folder that holds package.json: the same for the sources and for dist/. */
export function projectRoot(): string {
  let folder = here;
  while (!existsSync(path.join(folder, 'package.json'))) folder = path.dirname(folder);
  return folder;
}

/** Files we hand out, folder by folder; nothing else of the disk can be reached. */
export const assets = fp(
  async (app) => {
    const root = projectRoot();
    const require = createRequire(path.join(root, 'package.json'));
    const folderOf = (name: string) => path.dirname(require.resolve(`${name}/package.json`));
    const folders: [prefix: string, folder: string, allowed: RegExp][] = [
      ['/assets/', path.join(root, 'views/assets'), /\.(svg|ico|png)$/],
      // Browser scripts are TypeScript like everything else; they lie where tsc puts them, beside the built server.
      ['/assets/scripts/', path.join(here, '../../views/assets/scripts'), /\.js$/],
      ['/assets/vendor/', path.join(folderOf('htmx.org'), 'dist'), /\/(htmx|ext\/hx-sse)\.min\.js$/],
    ];
    for (const face of ['next', 'mono']) {
      const name = `@fontsource-variable/atkinson-hyperlegible-${face}`;
      folders.push([`/assets/fonts/${face}/`, path.join(folderOf(name), 'files'), /\.woff2$/]);
    }
    const sheet = await joinSheets(path.join(root, 'views/assets'));
    app.get('/assets/lanewise.css', { config: { access: 'everyone' } }, (request, reply) => {
      reply.header('etag', sheet.etag).header('cache-control', 'public, max-age=0');
      if (request.headers['if-none-match'] === sheet.etag) return reply.code(304).send();
      return reply.type('text/css; charset=utf-8').send(sheet.text);
    });
    for (const [prefix, folder, allowed] of folders) {
      await app.register(files, {
        root: folder,
        prefix,
        decorateReply: false,
        allowedPath: (name) => allowed.test(name),
        index: false,
        cacheControl: true,
        // Fonts and libraries change only with a release; our own files are asked for again by their ETag.
        maxAge: prefix.includes('fonts') || prefix.includes('vendor') ? '1d' : 0,
      });
    }
  },
  { name: 'assets', dependencies: ['session'] },
);

/**
 * All style sheets as one: a page asks once, not seventeen times. `tokens.css` names the layers and so comes first; the
 * order of the others does not matter.
 */
async function joinSheets(folder: string): Promise<{ text: string; etag: string }> {
  const names = (await readdir(folder)).filter((name) => name.endsWith('.css') && name !== 'tokens.css').sort();
  const parts = await Promise.all(['tokens.css', ...names].map((name) => readFile(path.join(folder, name), 'utf8')));
  const text = parts.join('\n');
  return { text, etag: `"${createHash('sha256').update(text).digest('base64url')}"` };
}
