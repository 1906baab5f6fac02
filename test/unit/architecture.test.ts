import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';

/**
 * The rules of DEVELOPERS.md, section "Where things live", as a test: imports go one way. It reads the sources as text;
 * if it saw no files it fails.
 */

type Import = { from: string; to: string; typeOnly: boolean };

const root = path.resolve(import.meta.dirname, '../..');

function sources(top: string): string[] {
  return readdirSync(path.join(root, top), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.tsx?$/.test(name))
    .map((name) => path.join(top, name));
}

const files = ['server', 'views', 'db', 'test'].flatMap(sources);
const text = new Map(files.map((file) => [file, readFileSync(path.join(root, file), 'utf8')]));

/** Every import and re-export of a file, of our own files and of packages. */
function importsOf(file: string): Import[] {
  const found = (text.get(file) ?? '').matchAll(
    /^(?:import|export)\s+(type\s)?(?:[^'"]*?\sfrom\s+)?['"]([^'"]+)['"]|import\(\s*['"]([^'"]+)['"]\s*\)/gm,
  );
  return [...found].map(([, type, stated = '', dynamic = '']) => {
    const name = stated || dynamic;
    const to = name.startsWith('.') ? path.join(path.dirname(file), name) : name;
    return { from: file, to, typeOnly: type !== undefined };
  });
}

const imports = files.flatMap(importsOf);

/** Files of a feature that do input and output, by name; every other file in a feature is pure knowledge. */
const roles = /(^|-)(routes|actions|store|topic|topics|watch|desk|plugin)\.ts$/;
/** Folders of server/ that are no feature. */
const noFeature = new Set(['plugins', 'cli', 'live', 'shared', 'work']);

const featureOf = (file: string) => {
  const [top, folder, ...rest] = file.split('/');
  return top === 'server' && folder && rest.length > 0 && !noFeature.has(folder) ? folder : null;
};
const roleOf = (file: string) => roles.exec(path.basename(file))?.[2] ?? null;

/** Files with input or output whose names say so less plainly, each with its reason. */
const impure = new Map<string, string>([
  ['server/accounts/tokens.ts', 'makes random secrets'],
  ['server/night/meeting-of.ts', 'reads a request'],
  ['server/profiles/kept-profile.ts', 'reads a request'],
  ['server/results/revisions.ts', "writes in its caller's transaction"],
]);

const isPure = (file: string) =>
  (featureOf(file) !== null || file.startsWith('server/shared/')) && roleOf(file) === null && !impure.has(file);

/** Features from the ground up: each may use those before it. */
const order = [
  'accounts',
  'tracks',
  'clubs',
  'drivers',
  'heats',
  'meetings',
  'pace',
  'rotation',
  'tonight',
  'timing',
  'results',
  'handicap',
  'profiles',
  'night',
  'archive',
  'shares',
  'units',
  'workbench',
  'sample',
  'help',
];

const wrong = (rule: (i: Import) => boolean) => imports.filter(rule).map(({ from, to }) => `${from} → ${to}`);

describe('imports go one way', () => {
  test('there are files to look at', () => {
    expect(files.length).toBeGreaterThan(150);
    expect(imports.length).toBeGreaterThan(500);
    expect(files.filter(isPure).length).toBeGreaterThan(40);
  });

  test('every imported file of ours exists', () => {
    expect(wrong(({ to }) => /^(server|views|db|test)\//.test(to) && !text.has(to))).toEqual([]);
  });

  test('pure modules know no Fastify, no database, no system, no clock and no chance', () => {
    const outside = /^(node:|fastify|@fastify\/|drizzle-orm|postgres$|db\/|server\/(plugins|cli|live|main|app)|preact)/;
    expect(wrong(({ from, to, typeOnly }) => isPure(from) && outside.test(to) && !typeOnly)).toEqual([]);
    const calls = /\bDate\.now\(|\bMath\.random\(|\bnew Date\(\)|\bperformance\.now\(|\bprocess\./;
    expect(files.filter((file) => isPure(file) && calls.test(withoutComments(file)))).toEqual([]);
  });

  test('pure modules import no routes, actions or stores, except for types', () => {
    expect(wrong(({ from, to, typeOnly }) => isPure(from) && text.has(to) && roleOf(to) !== null && !typeOnly)).toEqual(
      [],
    );
  });

  test('routes hold no SQL, stores no HTTP', () => {
    expect(
      wrong(({ from, to }) => roleOf(from) === 'routes' && /^(drizzle-orm|postgres$|db\/schema)/.test(to)),
    ).toEqual([]);
    const http = /^(fastify|@fastify\/)|^server\/plugins|^views\/(?!texts)/;
    expect(wrong(({ from, to }) => roleOf(from) === 'store' && http.test(to))).toEqual([]);
    expect(wrong(({ from, to }) => roleOf(from) === 'actions' && http.test(to))).toEqual([]);
  });

  test('a feature uses only features below it, through their stores, actions or pure modules', () => {
    const features = new Set(files.map(featureOf).filter((f) => f !== null));
    expect([...features].filter((f) => !order.includes(f))).toEqual([]);
    const upward = ({ from, to }: Import) => {
      const [a, b] = [featureOf(from), featureOf(to)];
      return a !== null && b !== null && a !== b && order.indexOf(b) > order.indexOf(a);
    };
    expect(wrong((i) => upward(i) && !(i.typeOnly && roleOf(i.to) === null))).toEqual([]);
    expect(
      wrong(({ from, to }) => featureOf(from) !== featureOf(to) && roleOf(to) === 'routes' && featureOf(from) !== null),
    ).toEqual([]);
  });

  test('long work is pure, and features reach it through app.work alone', () => {
    expect(text.has('server/work/jobs.ts')).toBe(true);
    expect(wrong(({ from, to }) => from === 'server/work/jobs.ts' && !isPure(to))).toEqual([]);
    const inThread = new Set(['server/work/worker.ts', 'server/work/jobs.ts']);
    expect(wrong((i) => i.from === 'server/work/worker.ts' && !inThread.has(i.to) && !i.typeOnly)).toEqual([]);
    const past = ({ from, to, typeOnly }: Import) =>
      featureOf(from) !== null && to.startsWith('server/work/') && !typeOnly;
    expect(wrong(past)).toEqual([]);
    const threads = ({ from, to }: Import) => to === 'server/work/pool.ts' && !from.startsWith('test/');
    expect(wrong(threads)).toEqual(['server/main.ts → server/work/pool.ts']);
  });

  test('views import views, and of the server types of pure modules and rows only', () => {
    const allowed = (i: Import) => i.typeOnly || !/^(server|db|test|fastify|drizzle-orm|postgres|node:)/.test(i.to);
    expect(wrong((i) => i.from.startsWith('views/') && !allowed(i))).toEqual([]);
  });

  test('the database knows nothing of server and views, and nothing imports tests', () => {
    expect(wrong(({ from, to }) => from.startsWith('db/') && /^(server|views|test)\//.test(to))).toEqual([]);
    expect(wrong(({ from, to }) => !from.startsWith('test/') && to.startsWith('test/'))).toEqual([]);
  });

  test('the environment is read by main alone, raw HTML is written nowhere', () => {
    const reads = files.filter((f) => !f.startsWith('test/') && /process\.env/.test(withoutComments(f)));
    expect(reads).toEqual(['server/main.ts']);
    const raw = files.filter(
      (f) => !f.startsWith('test/') && /dangerouslySetInnerHTML\s*=|\.innerHTML\s*=/.test(text.get(f) ?? ''),
    );
    expect(raw).toEqual([]);
  });
});

function withoutComments(file: string): string {
  return (text.get(file) ?? '').replace(/\/\*[\s\S]*?\*\//g, '').replace(/\/\/.*$/gm, '');
}
