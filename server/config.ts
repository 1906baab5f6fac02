import { z } from 'zod';

/** `1`, `true`, `yes` switch an option on; `0`, `false`, `no` and nothing switch it off. */
const flag = (on: boolean) =>
  z
    .enum(['1', 'true', 'yes', '0', 'false', 'no', ''])
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

/** Every option, each documented here and in the README, nowhere else read. */
const environment = z.object({
  /** `postgres://…`; without it the bundled PostgreSQL is started. */
  DATABASE_URL: z.string().optional(),
  /** Folder of the bundled PostgreSQL's data. */
  LANEWISE_DATA: z.string().optional(),
  /** Port to listen on. */
  PORT: z.coerce.number().int().min(0).max(65535).default(3000),
  /** Address to listen on; the default lets phones on the network in. */
  HOST: z.string().default('0.0.0.0'),
  /** Address people use when it is not this machine's own, such as `https://race.example.org` behind a proxy. */
  PUBLIC_URL: z.url({ protocol: /^https?$/ }).optional(),
  /** More host names to answer to, separated by commas. */
  ALLOWED_HOSTS: list,
  /** Addresses of proxies whose `X-Forwarded-…` headers are believed, separated by commas. */
  TRUST_PROXY: list,
  /** `0`: do not migrate at start; run `lanewise migrate` instead. */
  MIGRATE: flag(true),
  /** Least severe log line to write. */
  LOG_LEVEL: z.enum(['fatal', 'error', 'warn', 'info', 'debug', 'trace', 'silent']).default('warn'),
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

/** Reads the options from an environment. Wrong ones are named in `problems`. */
export function readConfig(env: Record<string, string | undefined>): { config: Config } | { problems: string[] } {
  const parsed = environment.safeParse(env);
  if (!parsed.success) return { problems: parsed.error.issues.map((i) => `${i.path.join('.')}: ${i.message}`) };
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
