import type { CookieSerializeOptions } from '@fastify/cookie';
import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Config } from '../config/config.ts';
import { SESSION_DAYS } from './session.repository.ts';

/** Over HTTPS the prefix makes browsers insist on Secure, Path=/ and this very host (RFC 6265bis); plain HTTP is for localhost only. */
function cookieOf(config: Config): { name: string; options: CookieSerializeOptions } {
  const secure = config.publicUrl.startsWith('https:');
  return {
    name: secure ? '__Host-frostmoot' : 'frostmoot',
    options: { path: '/', httpOnly: true, sameSite: 'lax', secure },
  };
}

export function readSessionCookie(request: FastifyRequest, config: Config): string | undefined {
  const value = request.cookies[cookieOf(config).name];
  return value !== undefined && /^[\w-]{43}$/.test(value) ? value : undefined;
}

export function setSessionCookie(reply: FastifyReply, config: Config, secret: string): void {
  const { name, options } = cookieOf(config);
  void reply.setCookie(name, secret, { ...options, maxAge: SESSION_DAYS * 24 * 60 * 60 });
}

export function clearSessionCookie(reply: FastifyReply, config: Config): void {
  const { name, options } = cookieOf(config);
  void reply.clearCookie(name, options);
}
