import { Controller, Get, Param, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { notice, notices, primitives } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Allow, CurrentActor } from '../platform/auth/decorators.ts';
import { Operation } from '../platform/http/operation.ts';
import { NoticesService } from './notices.service.ts';

@ApiTags('notices')
@Controller('cooperatives/:cooperativeId/notices')
export class NoticesController {
  constructor(private readonly service: NoticesService) {}

  @Get()
  @Operation({ id: 'getNotices', summary: 'What my household has been told', ok: notices })
  list(@CurrentActor() actor: Actor): Promise<z.infer<typeof notices>> {
    return this.service.list(actor);
  }

  @Allow('adult', 'buyer', 'reader')
  @Post('seen')
  @Operation({ id: 'seeNotices', summary: 'I have seen all of them', ok: notices })
  allSeen(@CurrentActor() actor: Actor): Promise<z.infer<typeof notices>> {
    return this.service.allSeen(actor);
  }

  @Allow('adult', 'buyer', 'reader')
  @Post(':noticeId/seen')
  @Operation({ id: 'seeNotice', summary: 'I have seen this one', ok: notice })
  seen(
    @CurrentActor() actor: Actor,
    @Param('noticeId', { schema: primitives.id }) noticeId: string,
  ): Promise<z.infer<typeof notice>> {
    return this.service.seen(actor, noticeId);
  }
}
