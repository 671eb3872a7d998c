import { Controller, Get } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import { z } from 'zod';
import { Public } from '../auth/decorators.ts';
import { Database } from '../db/prisma.ts';
import { Operation } from '../http/operation.ts';

const health = z.object({ status: z.literal('ok') }).meta({ id: 'Health' });

/** For whatever watches the process. */
@Controller('health')
export class HealthController {
  constructor(private readonly database: Database) {}

  @Public()
  @Get('live')
  @Operation({ id: 'isLive', summary: 'The process answers', ok: health })
  live(): z.infer<typeof health> {
    return { status: 'ok' };
  }

  @Public()
  @Get('ready')
  @Operation({ id: 'isReady', summary: 'The process and its database answer', ok: health, errors: ['unavailable'] })
  async ready(): Promise<z.infer<typeof health>> {
    try {
      await this.database.client.$queryRaw`SELECT 1`;
    } catch {
      throw new DomainError('unavailable', 'The database does not answer');
    }
    return { status: 'ok' };
  }
}
