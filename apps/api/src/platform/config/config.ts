import { fileURLToPath } from 'node:url';
import { z } from 'zod';

const postgresUrl = z.string().regex(/^postgres(ql)?:\/\//, 'must start with postgresql://');

/** Everything that the process is told from outside, by name of its environment variable. */
const environment = z.object({
  DATABASE_URL: postgresUrl,
  DIRECT_DATABASE_URL: postgresUrl.optional(),
  DATABASE_POOL: z.coerce.number().int().min(1).max(200).default(10),
  PORT: z.coerce.number().int().min(0).max(65535).default(4310),
  HOST: z.string().min(1).default('127.0.0.1'),
  PUBLIC_URL: z.url({ protocol: /^https?$/ }).optional(),
  TRUST_PROXY: z.string().min(1).optional(),
  WEB_DIST: z.string().min(1).optional(),
  MESSAGES_DIR: z.string().min(1).optional(),
  SMTP_URL: z.url({ protocol: /^smtps?$/ }).optional(),
  MAIL_FROM: z.string().min(3).optional(),
  DEMO_DIR: z.string().min(1).optional(),
  JOBS_AT_ONCE: z.coerce.number().int().min(1).max(50).default(2),
  JOB_LEASE_SECONDS: z.coerce.number().int().min(1).max(600).default(30),
  FROSTMOOT_NOW: z.iso.datetime({ offset: true }).optional(),
  LOG_LEVEL: z.enum(['fatal', 'error', 'warn', 'info', 'debug', 'trace', 'silent']).default('info'),
});

export interface Config {
  /** as the role that owns nothing, so that row-level security holds; may go through a pooler in transaction mode */
  databaseUrl: string;
  /** straight to the server: LISTEN needs a connection of its own */
  directDatabaseUrl: string;
  databasePool: number;
  port: number;
  host: string;
  /** the address in the browser; its origin is the only one that may write */
  publicUrl: string;
  /** proxies whose X-Forwarded-For is believed; none unless named */
  trustProxy: string | undefined;
  /** folder of the built web app; without it only the API is served */
  webDist: string | undefined;
  demoDir: string;
  /** the message catalogue, one folder per language, of which mails use the areas that they need */
  messagesDir: string;
  /** where mail is handed over; without it none is sent */
  smtpUrl: string | undefined;
  /** the sender of mail */
  mailFrom: string;
  /** long work that this process does at the same time */
  jobsAtOnce: number;
  /** after so many seconds without a sign of life a job's process counts as dead */
  jobLeaseSeconds: number;
  /** a fixed present, for demonstrations and tests */
  now: Date | undefined;
  logLevel: string;
}

/** A setting that is missing or wrong, in one sentence for whoever starts the process. */
export class ConfigError extends Error {}

const LOCAL_HOSTS = new Set(['localhost', '127.0.0.1', '[::1]']);

/** Reads the environment; throws {@link ConfigError} that names what is wrong. */
export function readConfig(env: Record<string, string | undefined>): Config {
  const given = Object.fromEntries(Object.entries(env).filter(([, value]) => value !== undefined && value !== ''));
  const parsed = environment.safeParse(given);
  if (!parsed.success) {
    const [issue] = parsed.error.issues;
    throw new ConfigError(`${String(issue?.path[0])}: ${issue?.message}`);
  }
  const values = parsed.data;
  const publicUrl = values.PUBLIC_URL ?? `http://localhost:${values.PORT}`;
  const { protocol, hostname } = new URL(publicUrl);
  if (protocol === 'http:' && !LOCAL_HOSTS.has(hostname)) {
    throw new ConfigError(
      `PUBLIC_URL: ${publicUrl} would send the session cookie in the clear; use https, or http on localhost only`,
    );
  }
  return {
    databaseUrl: values.DATABASE_URL,
    directDatabaseUrl: values.DIRECT_DATABASE_URL ?? values.DATABASE_URL,
    databasePool: values.DATABASE_POOL,
    port: values.PORT,
    host: values.HOST,
    publicUrl,
    trustProxy: values.TRUST_PROXY,
    webDist: values.WEB_DIST,
    demoDir: values.DEMO_DIR ?? fileURLToPath(new URL('../../../../../shared/demo', import.meta.url)),
    messagesDir: values.MESSAGES_DIR ?? fileURLToPath(new URL('../../../../web/src/lib/messages', import.meta.url)),
    smtpUrl: values.SMTP_URL,
    mailFrom: values.MAIL_FROM ?? `Frostmoot <no-reply@${hostname}>`,
    jobsAtOnce: values.JOBS_AT_ONCE,
    jobLeaseSeconds: values.JOB_LEASE_SECONDS,
    now: values.FROSTMOOT_NOW === undefined ? undefined : new Date(values.FROSTMOOT_NOW),
    logLevel: values.LOG_LEVEL,
  };
}
