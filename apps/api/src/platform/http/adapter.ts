import { FastifyAdapter } from '@nestjs/platform-fastify';

/** Leaves Fastify's own errors as they are, with their codes, so that the one filter can tell them apart. */
export class Adapter extends FastifyAdapter {
  override mapException(error: unknown): unknown {
    return error;
  }
}
