import type { FastifyInstance } from 'fastify';
import { existsSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { DomainError } from '@frostmoot/calc';
import { ConfigError } from '../config/config.ts';
import { problemOf, sendProblem } from './problem.filter.ts';

const YEAR_SECONDS = 31_536_000;

/**
 * Serves the built web app: its files as they are, its one page for every address of a screen, and a problem for what should exist and does not
 * (a call of the API, an asset of another release, anything that is not asked for as a page).
 */
export async function serveWeb(instance: FastifyInstance, webDist: string): Promise<void> {
  const root = resolve(webDist);
  const indexFile = join(root, 'index.html');
  if (!existsSync(indexFile)) throw new ConfigError(`WEB_DIST: there is no index.html in ${root}`);
  const index = readFileSync(indexFile);
  // Read only here, so that a process without a web app does not load it.
  const { default: fastifyStatic } = await import('@fastify/static');
  await instance.register(fastifyStatic, {
    root,
    wildcard: false,
    index: false,
    cacheControl: false,
    setHeaders: (reply, path) => {
      // Names of assets carry a hash of what is in them; everything else may change under its name.
      const forGood = path.startsWith(join(root, 'assets'));
      void reply.header('Cache-Control', forGood ? `public, max-age=${YEAR_SECONDS}, immutable` : 'no-cache');
    },
  });
  instance.get('/*', (request, reply) => {
    const path = request.url.split('?')[0] ?? '/';
    // The address itself is a page for whoever asks, a health check with `Accept: */*` included.
    const page = path === '/' || request.headers.accept?.includes('text/html') === true;
    if (/^\/(api|assets)(\/|$)/.test(path) || !page) {
      sendProblem(reply, problemOf(new DomainError('not-found', 'There is nothing here')));
      return;
    }
    void reply.header('Cache-Control', 'no-cache').type('text/html; charset=utf-8').send(index);
  });
}
