import { isIP } from 'node:net';
import { z } from 'zod';
import { start as t } from '../views/texts/en/start.ts';

const oneOf = <const T extends [string, ...string[]]>(words: T) => z.enum(words, { error: t.option.oneOf(words) });
/** `1`, `true`, `yes` switch an option on; `0`, `false`, `no` switch it off. */
const flag = (on: boolean) =>
  oneOf(['1', 'true', 'yes', '0', 'false', 'no'])
    .default(on ? '1' : '0')
    .transform((v) => v === '1' || v === 'true' || v === 'yes');
const list = z
  .string()
  .default('')
  .transform((v) =>
    v
      .split(',')
      .map((s) => s.trim())
      .filter(Boolean),
  );

/** An address, a range, or one of the names the proxy list knows. */
function isProxy(entry: string): boolean {
  if (/^(loopback|linklocal|uniquelocal)$/.test(entry)) return true;
  const [address = '', bits, ...more] = entry.split('/');
  const family = isIP(address);
  if (family === 0 || more.length > 0) return false;
  return bits === undefined || (/^\d{1,3}$/.test(bits) && Number(bits) <= (family === 4 ? 32 : 128));
}

/** Every option, each documented here and in the README, nowhere else read. */
const environment = z.object({
  /** `postgres://…`; without it the bundled PostgreSQL is started. */
  DATABASE_URL: z.string().optional(),
  /** Folder of the bundled PostgreSQL's data. */
  LANEWISE_DATA: z.string().optional(),
  /** Port to listen on. */
  PORT: z.coerce
    .number({ error: t.option.port })
    .int({ error: t.option.port })
    .min(0, t.option.port)
    .max(65535, t.option.port)
    .default(3000),
  /** Address to listen on; the default lets phones on the network in. */
  HOST: z.string().default('0.0.0.0'),
  /** Address people use when it is not this machine's own, such as `https://race.example.org` behind a proxy. */
  PUBLIC_URL: z.url({ protocol: /^https?$/, error: t.option.publicUrl }).optional(),
  /** More host names to answer to, separated by commas. */
  ALLOWED_HOSTS: list,
  /** Addresses of proxies whose `X-Forwarded-…` headers are believed, separated by commas. */
  TRUST_PROXY: list.refine((entries) => entries.every(isProxy), t.option.proxies),
  /** `0`: do not migrate at start; run `lanewise migrate` instead. */
  MIGRATE: flag(true),
  /** Least severe log line to write. */
  LOG_LEVEL: oneOf(['fatal', 'error', 'warn', 'info', 'debug', 'trace', 'silent']).default('warn'),
});

export type Config = Readonly<{
  databaseUrl: string | null;
  dataDir: string | null;
  port: number;
  host: string;
  publicUrl: string | null;
  allowedHosts: readonly string[];
  trustProxy: readonly string[];
  migrate: boolean;
  logLevel: string;
  /** True when people reach Lanewise over https: cookies are then `Secure` and HSTS is sent. */
  https: boolean;
}>;

/** Reads the options from an environment; one that is set to nothing is not set. Wrong ones are named in `problems`. */
export function readConfig(env: Record<string, string | undefined>): { config: Config } | { problems: string[] } {
  const parsed = environment.safeParse(Object.fromEntries(Object.entries(env).filter(([, value]) => value !== '')));
  if (!parsed.success) {
    return { problems: parsed.error.issues.map((i) => t.option.wrong(i.path.join('.'), i.message)) };
  }
  const e = parsed.data;
  const publicUrl = e.PUBLIC_URL?.replace(/\/+$/, '') ?? null;
  return {
    config: Object.freeze({
      databaseUrl: e.DATABASE_URL || null,
      dataDir: e.LANEWISE_DATA || null,
      port: e.PORT,
      host: e.HOST,
      publicUrl,
      allowedHosts: e.ALLOWED_HOSTS,
      trustProxy: e.TRUST_PROXY,
      migrate: e.MIGRATE,
      logLevel: e.LOG_LEVEL,
      https: publicUrl?.startsWith('https:') ?? false,
    }),
  };
}
